"""What a fresh machine needs, put in place once and remembered by stamps."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
CACHE = ROOT / ".cache"
PHONE = ROOT / "pwa"
APP = ROOT / "backend" / "temperward" / "app_dist"
TICK_S = 10  # a line this often while a long step runs, so that nobody thinks it hangs

NETWORK_WORDS = (
    "name resolution",
    "ENOTFOUND",
    "EAI_AGAIN",
    "ECONNREFUSED",
    "ETIMEDOUT",
    "Network is unreachable",
    "NewConnectionError",
    "Failed to establish a new connection",
    "Max retries exceeded",
)
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


class Trouble(Exception):
    """Something a person has to mend; the text says what and how."""


def say(text: str) -> None:
    """Print a line at once."""
    print(text, flush=True)


def program(name: str) -> str:
    """Return the path of a program inside the virtual environment."""
    for ending in ("", ".exe", ".cmd"):
        if (BIN / (name + ending)).exists():
            return str(BIN / (name + ending))
    raise Trouble(f"{name} is not in {VENV}. Delete that folder and start again.")


def environment(extra: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return this process's environment with the virtual environment's programs first."""
    return {
        **os.environ,
        "PATH": str(BIN) + os.pathsep + os.environ.get("PATH", ""),
        "VIRTUAL_ENV": str(VENV),
        **(extra or {}),
    }


def run_quietly(what: str, words: Sequence[str], *, cwd: Path = ROOT) -> None:
    """Run a long command into a log file, a line every few seconds; show its end on failure."""
    CACHE.mkdir(exist_ok=True)
    log = CACHE / (what.split(" ", maxsplit=1)[0].lower() + ".log")
    started = time.monotonic()
    say(f"  {what} ...")
    with log.open("w", encoding="utf-8") as out:
        child = subprocess.Popen(words, cwd=cwd, env=environment(), stdout=out, stderr=subprocess.STDOUT)
        while True:
            try:
                code = child.wait(timeout=TICK_S)
                break
            except subprocess.TimeoutExpired:
                say(f"    still at it, {time.monotonic() - started:.0f} s")
    if code:
        raise Trouble(_explain(what, log))
    say(f"    done in {time.monotonic() - started:.0f} s")


def run_at_most(
    limit_s: float, words: Sequence[str], *, cwd: Path = ROOT, extra: Mapping[str, str] | None = None
) -> int | None:
    """Run a program with its output shown; return its code, or None if it was ended for taking too long."""
    child = subprocess.Popen(words, cwd=cwd, env=environment(extra), start_new_session=True)
    try:
        return child.wait(timeout=limit_s)
    except subprocess.TimeoutExpired:
        return None
    finally:
        end_all(child)


def end_all(child: subprocess.Popen[bytes]) -> None:
    """End a program that leads a session of its own, with all that it started and left."""
    if os.name == "nt":
        child.kill()
    else:
        with suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
    child.wait()


def _explain(what: str, log: Path) -> str:
    text = log.read_text(encoding="utf-8", errors="replace")
    end = "\n".join(text.splitlines()[-25:])
    hint = ""
    if any(words in text for words in NETWORK_WORDS):
        hint = (
            "\nNo network, it seems. The first run downloads Python and npm packages; later runs need none."
        )
    return f"{what} failed:\n{end}\n(whole output: {log}){hint}"


def digest_of(paths: Iterator[Path] | Sequence[Path], *more: str) -> str:
    """Return a digest over names and contents of files, and over some words."""
    total = hashlib.sha256("\n".join(more).encode())
    for path in sorted(paths):
        total.update(str(path.relative_to(ROOT)).encode() + b"\0" + path.read_bytes() + b"\0")
    return total.hexdigest()


def _holds(stamp: Path, digest: str) -> bool:
    return stamp.exists() and stamp.read_text(encoding="utf-8") == digest


def ensure_environment(*, extra: str) -> None:
    """Make .venv and install the project with one group of extras (`build` to run it, `dev` to check it)."""
    if not _venv_works():
        try:
            run_quietly("Making .venv", [sys.executable, "-m", "venv", "--clear", str(VENV)])
        except Trouble as trouble:
            raise Trouble(f"{trouble}\nOn Debian and Ubuntu: sudo apt install python3-venv") from trouble
    digest = digest_of([ROOT / "pyproject.toml"], sys.version)
    stamps = [VENV / f".installed-{name}" for name in dict.fromkeys((extra, "dev"))]
    if any(_holds(stamp, digest) for stamp in stamps):
        return
    words = [program("python"), "-m", "pip", "install", "--disable-pip-version-check", "-e", f".[{extra}]"]
    run_quietly("Installing Temperward and what it needs (a few minutes the first time)", words)
    (VENV / f".installed-{extra}").write_text(digest, encoding="utf-8")


def _venv_works() -> bool:
    try:
        words = [program("python"), "-c", "import sys; print(sys.version)"]
        answer = subprocess.run(words, capture_output=True, text=True, check=False)
    except (Trouble, OSError):
        return False
    return answer.returncode == 0 and answer.stdout.strip() == sys.version.strip()


def npm(*words: str) -> list[str]:
    """Return the command line of the environment's own npm."""
    return [program("npm"), *words]


def ensure_node_modules() -> None:
    """Install the phone app's packages exactly as locked."""
    digest = digest_of([PHONE / "package.json", PHONE / "package-lock.json"])
    stamp = PHONE / "node_modules" / ".installed"
    if not _holds(stamp, digest):
        run_quietly("Packages of the phone app", npm("ci", "--no-audit", "--no-fund"), cwd=PHONE)
        stamp.write_text(digest, encoding="utf-8")


def _phone_sources() -> Iterator[Path]:
    for folder, names, files in os.walk(PHONE):
        names[:] = [name for name in names if name not in ("node_modules", "build", "coverage", "dist")]
        yield from (Path(folder, name) for name in files)
    package = ROOT / "backend" / "temperward"
    yield from package.glob("lowering/**/*.py")
    yield from package.glob("*.py")
    yield from (path for path in package.glob("engine/**/*") if path.suffix in (".py", ".json"))


def ensure_phone_app() -> None:
    """Build the phone app into the package, unless it is already built from these very sources."""
    ensure_node_modules()
    digest = digest_of(_phone_sources())
    stamp = CACHE / "phone-app-built"
    if _holds(stamp, digest) and (APP / "index.html").exists():
        return
    run_quietly("Building the phone app", npm("run", "build"), cwd=PHONE)
    stamp.write_text(digest, encoding="utf-8")


def find_chromium() -> str | None:
    """Return a Chromium: the one named in TEMPERWARD_CHROMIUM, the system's, or Playwright's own."""
    named = os.environ.get("TEMPERWARD_CHROMIUM")
    if named:
        return named
    for name in CHROMIUM_NAMES:
        if path := shutil.which(name):
            return path
    return _playwright_chromium()


def _playwright_chromium() -> str | None:
    code = (
        "from playwright.sync_api import sync_playwright as start\n"
        "with start() as browsers: print(browsers.chromium.executable_path)"
    )
    answer = subprocess.run([program("python"), "-c", code], capture_output=True, text=True, check=False)
    path = answer.stdout.strip()
    return path if path and Path(path).exists() else None


def may_install_packages() -> bool:
    """Tell whether this process may install system packages (root on a Debian-like system)."""
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def ensure_chromium() -> str:
    """Return a Chromium, installed first where there is none."""
    if found := find_chromium():
        return found
    if may_install_packages():
        _apt_install("Chromium from the system's packages", "chromium")
    else:
        run_quietly("Chromium by Playwright", [program("python"), "-m", "playwright", "install", "chromium"])
    if found := find_chromium():
        return found
    raise Trouble("No Chromium. Install one, or name it in TEMPERWARD_CHROMIUM.")


def ensure_webkit() -> str | None:
    """Return None when the WebKitGTK smoke journey can run, else the reason why it is left out."""
    needed = {"WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"}
    missing = [package for name, package in needed.items() if shutil.which(name) is None]
    if missing and may_install_packages():
        try:
            _apt_install("WebKitGTK and its driver", *missing)
        except Trouble as trouble:
            say(str(trouble))
    missing = [package for name, package in needed.items() if shutil.which(name) is None]
    return f"needs the system packages {', '.join(missing)}" if missing else None


def _apt_install(what: str, *packages: str) -> None:
    run_quietly(f"Updating the package list for {what}", ["apt-get", "update", "-q"])
    words = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *packages]
    run_quietly(what, ["env", "DEBIAN_FRONTEND=noninteractive", *words])


@contextmanager
def told_plainly() -> Iterator[None]:
    """Turn trouble and Ctrl-C into a clear last line and an exit code instead of a traceback."""
    try:
        yield
    except Trouble as trouble:
        say(f"\n{trouble}")
        raise SystemExit(1) from None
    except KeyboardInterrupt:
        say("\nStopped.")
        raise SystemExit(130) from None
