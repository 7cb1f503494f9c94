"""The counter as it is installed elsewhere: the wheel in an environment of its own, started in an empty folder."""

import contextlib
import importlib.util
import os
import re
import signal
import socket
import subprocess
import sys
import time
import zipfile

import pytest

from tests.web.acts import PASSWORD, sign_form
from tests.web.places import ROOT, Browser, free_port

LOCK = ROOT / "requirements" / "serve.lock"
ACCOUNT = {"username": "ada", "name": "Ada Moe", "new": PASSWORD, "pin": "4711", "crew": "North", "language": "en"}
NOON = "Noon: pump footings by gun"


def run(*command, **options):
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=600, **options)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """An environment with the wheel and what its extras ask for, as locked; every name has a space in it."""
    folder = tmp_path_factory.mktemp("some where")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder), cwd=ROOT)
    (wheel,) = folder.glob("*.whl")
    run(sys.executable, "-m", "venv", str(folder / "its own"))
    python = folder / "its own" / "bin" / "python"
    uv = (sys.executable, "-m", "uv", "pip", "install", "--python", python)
    install = uv if importlib.util.find_spec("uv") else (python, "-m", "pip", "install")
    run(*install, "--require-hashes", "-r", LOCK)
    run(*install, "--no-index", f"{wheel}[web,sheets]")  # what an extra asks for and the lock lacks is not found
    return python.with_name("jetwright")


@contextlib.contextmanager
def serving(command, folder, home, port):
    """A counter for whoever has this home; what it prints goes to a file beside it."""
    log, environment = home.with_name("printed.txt"), {"HOME": str(home), "PATH": os.defpath, "PYTHONUNBUFFERED": "1"}
    with log.open("w") as out:
        process = subprocess.Popen([command, "serve", "--port", str(port)], cwd=folder, env=environment,
                                   stdin=subprocess.DEVNULL, stdout=out, stderr=out)  # fmt: skip
    try:
        until = time.monotonic() + 60
        while time.monotonic() < until:
            assert process.poll() is None, log.read_text()
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
                break
            time.sleep(0.05)
        yield process, log, environment
    finally:
        process.kill()
        process.wait(10)


def seen(browser, path, status=200):
    found, headers, text = browser.ask(path)
    assert found == status, f"{path}: {found} {text[-2000:]}"
    return headers, text


def signed(browser, task):
    """The address of the sheet of a task that is signed now."""
    path = f"/records/sign/{task}/"
    status, headers, text = browser.ask(path, sign_form(seen(browser, path)[1]))
    assert status == 302, text[-2000:]
    record = seen(browser, headers["Location"])[1]
    return re.search(r'href="(/records/[^"]+/sheet[^"]*)"', record)[1]


@pytest.mark.slow
@pytest.mark.any_database
@pytest.mark.skipif(os.name != "posix", reason="ends by a signal of POSIX")
def test_the_wheel_alone_serves_a_first_shift(installed, tmp_path):
    folder, home, port = tmp_path / "an empty folder", tmp_path / "a home", free_port()
    folder.mkdir()
    home.mkdir()
    with serving(installed, folder, home, port) as (process, log, environment):
        browser = Browser(f"http://127.0.0.1:{port}")
        assert str(home) in re.search("Data: (.*)", log.read_text())[1]
        link = re.search(r"http://\S+(/people/first/\S+)", log.read_text())[1]
        assert browser.fill(link, **ACCOUNT, units="si")[0] == 302

        status, headers, _text = browser.ask("/jobs/demo/", {})
        assert status == 302
        page = seen(browser, headers["Location"])[1]
        job, task = re.search(rf"/jobs/([\w-]+)/tasks/([\w-]+)/[^>]*>\s*(?:<[^>]+>\s*)*{NOON}", page).groups()
        plan = seen(browser, f"/jobs/{job}/tasks/{task}/plan/")[1]
        assert "830" in plan
        assert browser.ask(signed(browser, task))[2].startswith("%PDF-")
        assert "830" in seen(browser, f"/api/jobs/{job}/plan")[1]
        assert 'lang="es"' in Browser(browser.address).ask("/people/enter/", headers={"Accept-Language": "es"})[2]

        admin = seen(browser, "/admin/")[1]
        style = seen(browser, "/static/css/page.css")[1]
        files = set(re.findall(r'(?:src|href)="(/static/[^"#]+)', page + plan + admin))
        files |= {f"/static/{name}" for name in re.findall(r'url\("?\.\./([^")]+)', style)}
        assert len(files) > 12, files
        for name in files:
            seen(browser, name)

        kept = tmp_path / "kept.zip"
        run(installed, "backup", str(kept), cwd=folder, env=environment)
        assert zipfile.ZipFile(kept).testzip() is None

        process.terminate()
        assert process.wait(3) == -signal.SIGTERM
        assert "Traceback" not in log.read_text()
    assert list(folder.iterdir()) == []
