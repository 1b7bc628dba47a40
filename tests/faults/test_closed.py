"""Nothing is run that comes from elsewhere, and nobody is called."""

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import trainer

ROOT = Path(__file__).parents[2]
SOURCES = sorted(path for path in Path(trainer.__file__).parent.rglob("*.py") if "stubs" not in path.parts)
MODULES_NOT_USED = frozenset(
    {"pickle", "marshal", "shelve", "dill", "cloudpickle", "socket", "socketserver", "ssl", "ftplib", "smtplib"}
    | {"http", "urllib.request", "requests", "httpx", "xmlrpc", "telnetlib", "webbrowser", "ctypes", "code", "pty"}
)
CALLS_NOT_USED = frozenset({"eval", "exec", "compile", "__import__", "os.system", "os.popen", "os.execv", "os.execvp"})
STARTERS = {"trainer/sheets/engraving.py"}
"""Files that may start another program: an engraver that the user has installed, by a list of words."""


def uses(source: str) -> Iterator[str]:
    """What a module imports and calls by name, and the keywords `shell=...` in it."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Import(names=names):
                yield from (f"import {each.name}" for each in names)
            case ast.ImportFrom(module=str(module), names=names):
                yield f"import {module}"
                yield from (f"import {module}.{each.name}" for each in names)
            case ast.Call(func=func, keywords=keywords):
                yield f"call {ast.unparse(func)}"
                yield from (f"keyword {each.arg}" for each in keywords)


def forbidden(source: str) -> set[str]:
    found = set(uses(source))
    modules = {f"import {name}" for name in MODULES_NOT_USED}
    calls = {f"call {name}" for name in CALLS_NOT_USED}
    within = {each for each in found for name in modules if each == name or each.startswith(f"{name}.")}
    return within | (found & calls) | (found & {"keyword shell", "call np.load", "call numpy.load"})


def test_no_module_unpickles_evaluates_or_calls_anybody() -> None:
    sources = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in SOURCES}

    assert len(sources) > 200
    assert {name: found for name, source in sources.items() if (found := forbidden(source))} == {}
    assert {name for name, source in sources.items() if "import subprocess" in set(uses(source))} == STARTERS


def test_the_search_sees_what_it_looks_for() -> None:
    source = "import pickle\nfrom urllib import request\nimport http.client\neval('1')\nrun('ls', shell=True)"

    found = forbidden(source)

    assert found == {
        "import pickle",
        "import urllib.request",
        "import http.client",
        "call eval",
        "keyword shell",
    }


def said_by(script: str, *arguments: str, **environment: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, *script.split(), *arguments],
        cwd=ROOT,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_no_command_of_a_day_makes_a_socket(tmp_path: Path) -> None:
    said = said_by("-m tests.faults.closed_process", str(tmp_path), BOXWALK_DATA=str(tmp_path / "data"))

    assert [line for line in said if line.startswith("socket: ")] == []
    assert [line for line in said if not line.endswith(": 0")] == []
    assert len(said) > 20


def test_a_socket_would_be_seen(tmp_path: Path) -> None:
    script = tmp_path / "calls.py"
    script.write_text(
        "import sys, socket\n"
        "from tests.faults.closed_process import tell\n"
        "sys.addaudithook(tell)\n"
        "socket.socket().close()\n"
    )

    said = said_by(str(script), PYTHONPATH=str(ROOT))

    assert [line.partition(" (")[0] for line in said] == ["socket: socket.__new__"]
