"""Whatever happens, a short message and the right exit status."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from recipelint.commands.outcome import Trouble, fault_report, guarded, one_line, versions
from recipelint.commands.output import write_file


def status_of(raised: BaseException) -> int:
    def run(args: list[str]) -> int:
        raise raised

    return guarded(run, [])


@pytest.mark.parametrize(
    ("raised", "status", "said"),
    [
        (KeyboardInterrupt(), 130, "interrupted"),
        (Trouble("there is no such file"), 2, "there is no such file"),
        (KeyError("x"), 2, "a fault in recipelint itself, not in your recipe: KeyError: 'x'"),
        (RecursionError("deep"), 2, "RecursionError: deep"),
        (MemoryError(), 2, "MemoryError"),
        (UnicodeEncodeError("ascii", "\u202e", 0, 1, "\u202e"), 2, "UnicodeEncodeError"),
    ],
)
def test_faults_become_a_message_and_a_status(
    raised: BaseException, status: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(raised) == status
    err = capsys.readouterr().err
    assert err.startswith("recipelint: ") and said in err
    assert "Traceback" not in err and "\u202e" not in err


def test_a_fault_report_names_the_place_and_every_version() -> None:
    try:
        write_file(None, "x")  # type: ignore[arg-type]
    except TypeError as fault:
        report = fault_report(fault)
    assert "(commands/output.py, line " in report
    assert "Please report it" in report and "RECIPELINT_DEBUG=1" in report
    assert all(
        name in versions() for name in ("recipelint ", "Python ", "PyYAML ", "jsonschema-rs ", "typer ")
    )


def test_a_fault_outside_has_no_place() -> None:
    assert one_line(ValueError("a\nb\x1b")) == "ValueError: a\\nb\\x1b"


def test_with_the_debug_variable_the_whole_trace_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECIPELINT_DEBUG", "1")
    with pytest.raises(KeyError):
        status_of(KeyError("x"))


def test_a_file_is_written_whole_and_keeps_its_mode(tmp_path: Path) -> None:
    target = tmp_path / "found.json"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o640)
    write_file(str(target), "neu ü\n")
    assert target.read_bytes() == "neu ü\n".encode()
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["found.json"]


def test_a_link_is_written_through(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old", encoding="utf-8")
    (tmp_path / "link").symlink_to("real")
    write_file(str(tmp_path / "link"), "new")
    assert (tmp_path / "link").is_symlink() and (tmp_path / "real").read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("name", ["absent/found.json", "."])
def test_a_file_that_cannot_be_written_is_trouble(tmp_path: Path, name: str) -> None:
    with pytest.raises(Trouble, match="cannot be written"):
        write_file(str(tmp_path / name), "x")
    assert os.listdir(tmp_path) == []


EMIT = "import sys; from recipelint.commands.outcome import guarded\nfrom recipelint.commands.output import emit\n"


def run_python(code: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    environ = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "LC_ALL": "C",
        "PYTHONIOENCODING": "ascii",
    }
    return subprocess.run([sys.executable, "-c", EMIT + code], env=environ, stderr=subprocess.PIPE, **options)  # type: ignore[call-overload,no-any-return]


def test_output_is_utf_8_whatever_the_locale() -> None:
    done = run_python("emit('20 \\u00b0C \\udc80\\n')", stdout=subprocess.PIPE)
    assert (done.returncode, done.stdout, done.stderr) == (0, "20 °C \\udc80\n".encode(), b"")


def test_a_reader_that_goes_away_is_no_fault() -> None:
    ready, gone = os.pipe()
    os.close(ready)
    try:
        done = run_python("sys.exit(guarded(lambda a: emit('x' * 100_000) or 1, []))", stdout=gone)
    finally:
        os.close(gone)
    assert (done.returncode, done.stderr) == (1, b"")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")
def test_a_full_disk_is_told() -> None:
    with open("/dev/full", "wb") as full:
        done = run_python("sys.exit(guarded(lambda a: emit('x') or 0, []))", stdout=full)
    assert done.returncode == 2
    assert done.stderr == b"recipelint: standard output cannot be written: No space left on device\n"


def test_a_closed_standard_output_is_told() -> None:
    done = run_python(
        "sys.stdout = None; sys.exit(guarded(lambda a: emit('x') or 0, []))", stdout=subprocess.PIPE
    )
    assert (done.returncode, done.stderr) == (2, b"recipelint: standard output is closed\n")
