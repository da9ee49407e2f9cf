from __future__ import annotations

import os
import random
import resource
import signal
import time
from multiprocessing import get_context
from pathlib import Path

import pytest
from sample_case import ENGINE, make_case

from extract.errors import CaseError
from extract.model import Draft
from extract.review import answers
from extract.review import log as log_module
from extract.review.case import Case
from extract.review.decisions import Accept, Anchor, Decision, decide, in_force
from extract.review.log import Log


def decision(number: int, by: str = "Ada") -> Decision:
    return decide(by, Anchor(kind="flag", id=f"flag-{number}", label="ü" * (number % 40)), Accept(reason=str(number)))


@pytest.fixture
def log(tmp_path):
    return Log(tmp_path / "decisions.jsonl", Decision)


def test_lines_come_back_in_order_with_the_version(log):
    made = [decision(number) for number in range(5)]
    assert [log.append(entry) for entry in made] == [1, 2, 3, 4, 5]
    assert log.read().records == tuple(made)
    assert log.read().since(3) == tuple(made[3:])


def test_torn_last_line_is_reported_and_stays(log):
    log.append(decision(1))
    with open(log.path, "ab") as handle:
        handle.write(b'{"id": "d-broken')
    assert [entry.line for entry in log.read().bad] == [2]
    log.append(decision(2))
    lines = log.read()
    assert [entry.what.reason for entry in lines.records] == ["1", "2"]
    assert [entry.line for entry in lines.bad] == [2]
    assert b'{"id": "d-broken' in log.path.read_bytes()


@pytest.mark.parametrize("line", [b"null", b"{}", b'{"id":1}', b"\xff\xfe", b"not json", b"\x00" * 40])
def test_unreadable_line_in_the_middle_is_reported_with_its_number(log, line):
    log.append(decision(1))
    with open(log.path, "ab") as handle:
        handle.write(line + b"\n")
    log.append(decision(2))
    assert [entry.line for entry in log.read().bad] == [2]
    assert len(log.read().records) == 2


def test_full_disk_is_told_and_earlier_decisions_are_intact(log, monkeypatch):
    log.append(decision(1))
    before = log.path.read_bytes()
    real = os.write

    def half(handle, data):
        return real(handle, data[: len(data) // 2])

    monkeypatch.setattr(log_module.os, "write", half)
    with pytest.raises(CaseError, match="no space left.*earlier decisions are safe"):
        log.append(decision(2))
    monkeypatch.undo()
    assert log.path.read_bytes() == before


def test_refused_by_check_writes_nothing(log):
    def check(lines):
        raise CaseError("no")

    with pytest.raises(CaseError):
        log.append(decision(1), check=check)
    assert log.read().version == 0


def append_under_limit(path: str, limit: int, told: int) -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    try:
        Log(Path(path), Decision).append(decision(2))
    except CaseError as error:
        os.write(told, str(error).encode())


def test_file_that_may_not_grow_keeps_what_it_has_whole(log):
    log.append(decision(1))
    before = log.path.read_bytes()
    reader, writer = os.pipe()
    process = get_context("fork").Process(target=append_under_limit, args=(str(log.path), len(before) + 40, writer))
    process.start()
    process.join()
    os.close(writer)
    with os.fdopen(reader) as pipe:
        assert "was not kept" in pipe.read()
    assert log.path.read_bytes() == before


def append_many(path: str, by: str, count: int) -> None:
    log = Log(Path(path), Decision)
    for number in range(count):
        log.append(decision(number, by))


def test_two_processes_do_not_mix_lines(log):
    fork = get_context("fork")
    writers = [fork.Process(target=append_many, args=(str(log.path), by, 60)) for by in ("Ada", "Ben")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    lines = log.read()
    assert not lines.bad
    for by in ("Ada", "Ben"):
        assert [entry.what.reason for entry in lines.records if entry.by == by] == [str(n) for n in range(60)]


def decide_until_killed(path: str, confirmed: int, start: int) -> None:
    log = Log(Path(path), Decision)
    number = start
    while True:
        log.append(decision(number))
        os.write(confirmed, f"{number}\n".encode())
        number += 1


def test_kill_while_deciding_loses_nothing_confirmed(log):
    """200 processes are killed at a random moment of deciding; each told through a pipe what was confirmed."""
    fork = get_context("fork")
    chance = random.Random(7)
    confirmed: set[str] = set()
    awaited = 0
    for turn in range(200):
        reader, writer = os.pipe()
        process = fork.Process(target=decide_until_killed, args=(str(log.path), writer, turn * 100_000))
        process.start()
        os.close(writer)
        told, wanted = b"", chance.randint(0, 3)
        while told.count(b"\n") < wanted:
            told += os.read(reader, 4096)
        time.sleep(chance.uniform(0.0, 0.004))
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        with os.fdopen(reader, "rb") as pipe:
            told += pipe.read()
        awaited += wanted
        confirmed.update(line.decode() for line in told.split(b"\n")[:-1])
    kept = {entry.what.reason for entry in log.read().records}
    assert len(confirmed) >= awaited > 200
    assert confirmed <= kept
    after = decision(-1 % 7)
    log.append(after)
    assert log.read().records[-1] == after


def settle_until_killed(folder: str, confirmed: int) -> None:
    case = Case.open(Path(folder), ENGINE)
    while True:
        draft = case.recompute()
        point = next((flag for flag in draft.flags if flag.state == "open"), None)
        held = in_force(case.log.read().records)
        made = answers.accept(draft, point.id, "Seen.", "Ada") if point else answers.undo(held[-1], "Ada")
        case.decide(made)
        os.write(confirmed, f"{made.id}\n".encode())


def test_kill_while_settling_leaves_a_whole_case(tmp_path):
    """As above through the whole way of a decision, documents included."""
    case = make_case(tmp_path)
    fork = get_context("fork")
    chance = random.Random(11)
    confirmed: set[str] = set()
    for _ in range(40):
        reader, writer = os.pipe()
        process = fork.Process(target=settle_until_killed, args=(str(case.folder), writer))
        process.start()
        os.close(writer)
        told = os.read(reader, 4096)
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        with os.fdopen(reader, "rb") as pipe:
            told += pipe.read()
        confirmed.update(line.decode() for line in told.split(b"\n")[:-1])
        Draft.model_validate_json((case.folder / "draft.json").read_bytes())
    assert len(confirmed) >= 40
    assert confirmed <= {entry.id for entry in case.log.read().records}
    for part in case.folder.glob(".*.part"):
        os.utime(part, (0, 0))
    opened = Case.open(case.folder, ENGINE)
    opened.write()
    assert not list(case.folder.glob(".*.part"))
    assert Draft.model_validate_json((case.folder / "draft.json").read_bytes()) == opened.recompute()
