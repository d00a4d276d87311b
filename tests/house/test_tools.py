"""The set-up's own words and checks: each says what is wrong, and each of them can fail."""

import subprocess
import sys
from pathlib import Path

import pytest

import run
from tools import ROOT, Stop, chromium, commands, debian, environment, lock, tidy

ASKED = '[project]\nrequires-python = ">=3.11"\ndependencies = ["numpy>=2.0"]\n'
LOCKED = f"""\
{lock.ASKED_MARK}{lock.asked_hash(ASKED)}
numpy==2.4.6 ; python_full_version < '3.12' \\
    --hash=sha256:{"0" * 64}
numpy==2.5.5 ; python_full_version >= '3.12' \\
    --hash=sha256:{"1" * 64} \\
    --hash=sha256:{"2" * 64}
"""


def test_a_fresh_lock_has_no_fault() -> None:
    assert lock.faults(LOCKED, ASKED) == []


def test_a_lock_older_than_what_is_asked_for_is_told() -> None:
    (fault,) = lock.faults(LOCKED, ASKED.replace("2.0", "2.1"))
    assert "older than the tables of pyproject.toml" in fault
    assert "python3 run.py lock" in fault


def test_an_address_in_the_lock_is_told() -> None:
    (fault,) = lock.faults("--index-url https://example.invalid/simple\n" + LOCKED, ASKED)
    assert "address" in fault


def test_a_pin_without_a_hash_is_told_by_name() -> None:
    (fault,) = lock.faults(LOCKED + "segno==1.6.6\n", ASKED)
    assert "segno==1.6.6" in fault


def test_settings_that_are_no_dependency_leave_the_lock_fresh() -> None:
    assert lock.faults(LOCKED, ASKED + "[tool.ruff]\nline-length = 80\n") == []


def test_pins_are_told_without_their_hashes() -> None:
    assert lock.pins(LOCKED) == [
        "numpy==2.4.6 ; python_full_version < '3.12'",
        "numpy==2.5.5 ; python_full_version >= '3.12'",
    ]


def test_blocks_of_the_lock_are_its_whole_text() -> None:
    assert list(lock.blocks(LOCKED)) == lock.pins(LOCKED)
    without_comments = "".join(LOCKED.splitlines(keepends=True)[1:])
    assert "".join(lock.blocks(LOCKED).values()) == without_comments


def test_the_kept_lock_pins_the_installer_and_the_build_tools() -> None:
    names = {pin.split("==")[0] for pin in lock.pins(lock.LOCK.read_text(encoding="utf-8"))}
    assert {"uv", "hatchling", "editables"} <= names


@pytest.mark.parametrize(
    "line",
    [
        "open('/" + "root/garden.sqlite3')",
        "cd /" + "home/anna/heapwright",
        "see /" + "tmp/x",
        "prefix=/" + "opt/wheels",
    ],
)
def test_a_machine_path_is_found(line: str) -> None:
    assert tidy.faults_in(f"fine\n{line}\n") == ["line 2 holds a path of one machine"]


@pytest.mark.parametrize("host", ["py" + "pi.org", "registry.npm" + "js.org"])
def test_a_registry_host_is_found(host: str) -> None:
    assert tidy.faults_in(f"get it from {host}") == ["line 1 names a package registry's host"]


@pytest.mark.parametrize(
    "line",
    ["https://example.org/home/page", "#!/usr/bin/env bash", "<a href='/today'>", "src/work/x.py"],
)
def test_an_address_or_an_own_path_is_not_a_machine_path(line: str) -> None:
    assert tidy.faults_in(line) == []


def test_no_browser_and_no_right_to_install_one_is_one_sentence(monkeypatch) -> None:
    monkeypatch.setenv(chromium.VARIABLE, "no-such-browser")
    monkeypatch.setattr(debian, "can_install", lambda: False)
    assert chromium.find_or_install() == chromium.HOW_TO_GET_IT


def test_a_browser_that_cannot_be_installed_says_why(monkeypatch) -> None:
    monkeypatch.setenv(chromium.VARIABLE, "no-such-browser")
    monkeypatch.setattr(debian, "can_install", lambda: True)
    monkeypatch.setattr(debian, "install", lambda packages: "E: Unable to locate package chromium")
    complaint = chromium.find_or_install()
    assert complaint.startswith(chromium.HOW_TO_GET_IT)
    assert "Unable to locate package chromium" in complaint


def test_missing_ensurepip_without_root_says_what_to_install(monkeypatch) -> None:
    monkeypatch.setattr(debian, "can_install", lambda: False)
    with pytest.raises(Stop, match="apt-get install python3-venv"):
        environment.get_ensurepip()


def test_a_command_that_fails_is_told_by_its_last_words() -> None:
    code = "import sys; print('first'); print('the disk is full\\n'); sys.exit(3)"
    assert commands.complaint_of([sys.executable, "-c", code]) == "the disk is full"
    assert commands.complaint_of([sys.executable, "-c", "print('fine')"]) == ""
    assert commands.complaint_of(["no-such-program"]) != ""


def test_a_foreign_python_path_does_not_reach_what_we_start(monkeypatch) -> None:
    monkeypatch.setenv("PYTHONPATH", "elsewhere")
    assert "PYTHONPATH" not in commands.clean_environment()


@pytest.mark.parametrize(("has_them", "told"), [(True, "1"), (False, None)])
def test_uv_is_told_of_the_machines_authorities_where_there_are_any(
    monkeypatch, has_them: bool, told: str | None
) -> None:
    monkeypatch.delenv("UV_SYSTEM_CERTS", raising=False)
    monkeypatch.setattr(commands, "has_authorities", lambda: has_them)
    assert commands.clean_environment().get("UV_SYSTEM_CERTS") == told


def test_the_stamp_changes_with_the_lock(monkeypatch, tmp_path: Path) -> None:
    monkeypatch.setattr(lock, "LOCK", tmp_path / "requirements.lock")
    monkeypatch.setattr(environment, "python_version", lambda: "3.11.2")
    lock.LOCK.write_text(LOCKED, encoding="utf-8")
    before = environment.installed_stamp()
    assert environment.installed_stamp() == before
    lock.LOCK.write_text(LOCKED.replace("2.4.6", "2.4.7"), encoding="utf-8")
    assert environment.installed_stamp() != before


def test_the_entry_for_uv_is_cut_out_whole(monkeypatch, tmp_path: Path) -> None:
    monkeypatch.setattr(lock, "LOCK", tmp_path / "requirements.lock")
    entry = f"uv==0.9.0 \\\n    --hash=sha256:{'3' * 64}\n"
    lock.LOCK.write_text(LOCKED + entry + "zlib==1\n", encoding="utf-8")
    assert environment.uv_entry() == entry


def test_an_unknown_command_lists_the_known_ones() -> None:
    done = subprocess.run(
        [sys.executable, "run.py", "dig"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "there is no command 'dig'" in done.stderr
    assert "python3 run.py test" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_old_python_is_told_what_is_needed(monkeypatch, capsys) -> None:
    monkeypatch.setattr(run.sys, "version_info", (3, 9, 2, "final", 0))
    monkeypatch.setattr(run.shutil, "which", lambda name: None)
    assert run.main([]) == 1
    said = capsys.readouterr().err
    assert "needs Python 3.11 or newer, and this is Python 3.9.2" in said


def test_a_refusal_of_the_machine_is_a_sentence(monkeypatch, capsys) -> None:
    def full(rest: list[str]) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(run, "dispatch", full)
    assert run.main([]) == 1
    said = capsys.readouterr().err
    assert "No space left on device" in said
    assert "Traceback" not in said
