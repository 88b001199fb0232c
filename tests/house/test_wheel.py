"""The wheel runs the main job from another folder, in a fresh environment, without extras."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).parents[2]


def _run(*words: str | Path, cwd: Path, accept: tuple[int, ...] = (0,)) -> str:
    environment = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "VIRTUAL_ENV")}
    done = subprocess.run(  # noqa: S603
        [str(w) for w in words], capture_output=True, text=True, check=False, cwd=cwd,
        env=environment,
    )  # fmt: skip
    assert done.returncode in accept, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_does_the_main_job_from_elsewhere(tmp_path: Path) -> None:
    _run(
        sys.executable, "-m", "build", "--wheel", "--outdir", tmp_path / "dist", ROOT, cwd=tmp_path
    )
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    venv.create(tmp_path / "env", with_pip=True)
    scripts = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin")
    _run(scripts / "python", "-m", "pip", "install", "-q", wheel, cwd=tmp_path)
    command, samples = scripts / "compliance", ROOT / "sample_installs"
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    assert "check" in _run(command, "--help", cwd=elsewhere)
    faulty = _run(command, "check", samples / "terrace-eight-faults", cwd=elsewhere, accept=(1,))
    assert "DANGER" in faulty
    _run(command, "pack", samples / "bungalow-two-faces", "--out", "handover", cwd=elsewhere)
    (pack,) = (elsewhere / "handover").glob("pack-*")
    assert "whole and unchanged" in _run(command, "verify", pack, cwd=elsewhere)
    assert "0 failed" in _run(command, "rules", "test", cwd=elsewhere)
