from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from extract.errors import CaseError
from extract.model import Draft
from reports import Options, get_writer
from reports.stills import sharpness, spans, take

WIDTH, HEIGHT, RATE = 320, 240, 10


def checks(size: int) -> np.ndarray:
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    return (((x // size + y // size) % 2) * 200 + 30).astype(np.uint8)


def blurred(grey: np.ndarray, radius: int) -> np.ndarray:
    flat = grey.astype(float)
    for axis in (0, 1):
        flat = sum(np.roll(flat, shift, axis) for shift in range(-radius, radius + 1)) / (2 * radius + 1)
    return flat.astype(np.uint8)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """80 s: out of focus, but for one second at 24 s (step 3) and black from 36 s to 45 s (step 4)."""
    file = tmp_path_factory.mktemp("film") / "film.mp4"
    sharp, soft, black = checks(16), blurred(checks(16), 9), np.zeros((HEIGHT, WIDTH), np.uint8)
    with av.open(str(file), "w") as out:
        stream = out.add_stream("mpeg4", rate=RATE)
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        stream.time_base = Fraction(1, RATE)
        for number in range(80 * RATE):
            second = number / RATE
            grey = sharp if 24 <= second < 25 else black if 36 <= second < 45.5 else soft
            frame = av.VideoFrame.from_ndarray(np.repeat(grey[..., None], 3, axis=2), format="rgb24")
            out.mux(stream.encode(frame.reformat(format="yuv420p")))
        out.mux(stream.encode(None))
    return file


def test_sharper_pictures_measure_higher() -> None:
    assert sharpness(checks(16)) > sharpness(blurred(checks(16), 1)) > sharpness(blurred(checks(16), 5))
    assert sharpness(np.full((20, 20), 90, np.uint8)) == 0.0


def test_the_sharpest_frame_is_taken_not_the_first(draft: Draft, film: Path) -> None:
    picture = take(draft, film, "all")["s3"]
    assert 24.0 <= picture.time_s < 25.0
    with av.open(io.BytesIO(picture.jpeg), format="mjpeg") as image:
        frame = next(image.decode(video=0))
    assert (frame.width, frame.height) == (picture.width, picture.height) == (WIDTH, HEIGHT)


def test_a_step_with_no_good_frame_gets_none(draft: Draft, film: Path) -> None:
    taken = take(draft, film, "all")
    assert "s4" not in taken  # black
    assert "s1" not in taken  # out of focus


def test_needed_are_open_points_and_alignments(draft: Draft) -> None:
    assert [span.step for span in spans(draft, "needed")] == ["s3"]
    assert spans(draft, "none") == []
    assert len(spans(draft, "all")) == len(draft.steps)


def test_a_span_ends_where_the_next_step_begins(draft: Draft) -> None:
    by_step = {span.step: span for span in spans(draft, "all")}
    assert by_step["s2"].end_s == 23.0
    assert by_step["s1"].end_s == 17.0


def test_the_same_film_gives_the_same_bytes(draft: Draft, film: Path) -> None:
    assert take(draft, film, "needed") == take(draft, film, "needed")


@pytest.mark.parametrize("content", [b"", b"not a film at all", b"\x00" * 5000])
def test_a_file_that_is_no_film(draft: Draft, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "film.mp4"
    file.write_bytes(content)
    with pytest.raises(CaseError, match=r"film\.mp4"):
        take(draft, file, "all")


def test_an_unknown_choice_of_stills(draft: Draft, film: Path) -> None:
    with pytest.raises(CaseError, match="none, needed, all"):
        take(draft, film, "some")


@pytest.mark.parametrize(("name", "sign"), [("html", b"data:image/jpeg"), ("pdf", b"/Image"), ("docx", b".jpg")])
def test_documents_carry_the_still(draft: Draft, film: Path, name: str, sign: bytes) -> None:
    files = get_writer(name).write(draft, Options(pictures=take(draft, film, "needed")))
    assert sign in next(iter(files.values()))


@pytest.mark.parametrize("name", ["dita", "docbook"])
def test_the_still_stands_beside_xml(draft: Draft, film: Path, name: str) -> None:
    pictures = take(draft, film, "needed")
    files = get_writer(name).write(draft, Options(pictures=pictures))
    assert files[f"{name}/pictures/step-3.jpg"] == pictures["s3"].jpeg
