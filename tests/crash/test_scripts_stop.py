"""What sets a machine up stops at the step that failed and shows that step's own words."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOOLS = [
    "bash",
    "cat",
    "cut",
    "dirname",
    "env",
    "grep",
    "ls",
    "mktemp",
    "nproc",
    "rm",
    "sed",
    "sha256sum",
    "sleep",
    "tail",
    "touch",
]
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the scripts are for Debian")


def bare(tmp: Path, script: str, *, fails: str, root: bool = True) -> subprocess.CompletedProcess[str]:
    """Run a script where there is neither Python nor a browser; apt-get fails at one of its verbs."""
    tools = tmp / "bin"
    for folder in (tools, tmp / "scripts", tmp / "requirements"):
        folder.mkdir()
    for name in TOOLS:
        found = shutil.which(name)
        assert found is not None, name
        (tools / name).symlink_to(found)
    for name, body in {
        "id": f"echo {0 if root else 1000}",
        "apt-get": f'[ "$1" != {fails} ] || {{ echo "E: {fails}: no network here" >&2; exit 100; }}',
    }.items():
        (tools / name).write_text(f"#!{shutil.which('bash')}\n{body}\n", "utf8")
        (tools / name).chmod(0o755)
    for file in ("pyproject.toml", "requirements/run.txt", "requirements/all.txt", f"scripts/{script}"):
        shutil.copy(ROOT / file, tmp / file)
    if script != "setup":
        (tmp / "scripts/setup").write_text(
            "#!/usr/bin/env bash\necho setup was reached >&2\nexit 9\n", "utf8"
        )
        (tmp / "scripts/setup").chmod(0o755)
    return subprocess.run(
        [tools / "bash", tmp / "scripts" / script],
        env={"PATH": str(tools), "TMPDIR": str(tmp)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    ("script", "fails", "step"),
    [
        ("setup", "update", "setup: reading Debian's package lists failed"),
        ("setup", "install", "setup: installing python3 python3-venv failed"),
        ("test", "update", "test: reading Debian's package lists failed"),
        ("test", "install", "test: installing "),
    ],
)
def test_a_step_that_fails_ends_it_with_its_own_words(
    tmp_path: Path, script: str, fails: str, step: str
) -> None:
    done = bare(tmp_path, script, fails=fails)
    assert done.returncode == 1
    assert step in done.stderr
    assert f"    E: {fails}: no network here" in done.stderr
    assert "was reached" not in done.stderr


@pytest.mark.parametrize(("script", "named"), [("setup", "python3 python3-venv"), ("test", "chromium")])
def test_who_may_not_install_is_told_what_is_needed(tmp_path: Path, script: str, named: str) -> None:
    done = bare(tmp_path, script, fails="update", root=False)
    assert done.returncode == 1
    assert "sudo apt-get install" in done.stderr
    assert named in done.stderr


def test_after_all_is_there_the_set_up_begins(tmp_path: Path) -> None:
    done = bare(tmp_path, "test", fails="nothing")
    assert (done.returncode, "setup was reached" in done.stderr) == (9, True)
