from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from sample_case import TALK, make_case

HERE = Path(__file__).parent


@pytest.fixture
def film(tmp_path) -> Path:
    """A minute of film, eight pictures a second, each second in another grey."""
    import av
    import numpy

    file = tmp_path / "demo.webm"
    with av.open(str(file), "w") as container:
        stream = container.add_stream("libvpx", rate=8)
        stream.width, stream.height, stream.pix_fmt = 320, 180, "yuv420p"
        stream.options = {"g": "8", "deadline": "realtime", "cpu-used": "8"}
        for number in range(60 * 8):
            picture = numpy.full((180, 320, 3), 4 * (number // 8), dtype=numpy.uint8)
            for packet in stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")):
                container.mux(packet)
        for packet in stream.encode():
            container.mux(packet)
    return file


@pytest.fixture
def serve(tmp_path):
    """Start the review of a sample case in a process of its own; returns the case and the opening address."""
    running = []

    def start(text: str = TALK, film: Path | None = None, case=None):
        case = case or make_case(tmp_path, text)
        command = [sys.executable, str(HERE / "serve_sample.py"), str(case.folder), *([str(film)] if film else [])]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        running.append(process)
        return case, process.stdout.readline().strip(), process

    yield start
    for process in running:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.fixture(scope="session")
def chromium():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools:
        path = os.environ.get("BENCHTALK_CHROMIUM", "/usr/bin/chromium")
        browser = tools.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def tab(chromium):
    """Opens tabs in one browser; a script error, a dialog or a blocked resource fails the test."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    wrong: list[str] = []

    def open_tab(address: str, width: int = 1280, height: int = 800):
        page = context.new_page()
        page.set_viewport_size({"width": width, "height": height})
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("dialog", lambda dialog: (wrong.append(f"dialog {dialog.message}"), dialog.dismiss()))
        page.on(
            "console",
            lambda message: wrong.append(message.text) if "Content Security Policy" in message.text else None,
        )
        page.goto(address)
        return page

    yield open_tab
    context.close()
    assert not wrong
