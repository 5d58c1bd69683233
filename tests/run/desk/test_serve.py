"""The command as it is started: soon there, on this machine only, ended in order, a second one told why not."""

import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from http.cookiejar import CookieJar

import pytest

from analyzer.errors import DeskError
from analyzer.run.desk.serve import HOST, listen

#: of a machine that does nothing else; measured 0.6 s. Here the bound only catches what would be felt at once
START_S = 20.0
COMMAND = [sys.executable, "-m", "analyzer", "desk", "--no-browser"]


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    folder = tmp_path_factory.mktemp("place") / "My lessons"
    began = time.monotonic()
    process = subprocess.Popen([*COMMAND, "--folder", str(folder)], stdout=subprocess.PIPE, text=True)
    said = process.stdout.readline()
    took_s = time.monotonic() - began
    address = re.search(r"http://127\.0\.0\.1:(\d+)/enter\?token=\S+", said)
    yield process, folder, address[0], int(address[1]), took_s
    process.kill()
    process.wait()
    process.stdout.close()


def browser():
    return urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))


def test_it_is_soon_there(running):
    assert running[4] < START_S


def test_it_listens_on_this_machine_only(running):
    port = running[3]
    others = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), port, socket.AF_INET)} - {HOST}
    for address in (*others, "127.0.0.2", "::1"):
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as attempt:
            attempt.settimeout(2.0)
            with pytest.raises(OSError, match=r"refused|timed out|Cannot assign|not supported|unreachable"):
                attempt.connect((address, port))


def test_a_second_desk_on_the_folder_is_refused_in_one_line(running):
    _, folder, _, port, _ = running
    second = subprocess.run([*COMMAND, "--folder", str(folder)], capture_output=True, text=True, timeout=60)
    assert second.returncode == 2
    assert second.stdout == ""
    assert len(second.stderr.splitlines()) == 1
    assert f"is open in another desk (at http://127.0.0.1:{port}/)" in second.stderr


def test_a_port_that_is_taken_is_refused_in_one_line(running, tmp_path):
    port = running[3]
    second = subprocess.run(
        [*COMMAND, "--folder", str(tmp_path / "other"), "--port", str(port)], capture_output=True, text=True, timeout=60
    )
    assert (second.returncode, second.stdout) == (2, "")
    assert f"--port {port}: is taken" in second.stderr
    assert not (tmp_path / "other").exists()


def test_another_port_is_taken_where_none_was_asked_for():
    with socket.socket() as other:
        other.bind((HOST, 0))
        port = other.getsockname()[1]
        with pytest.raises(DeskError, match="name another one"):
            listen(port)
    first, second = listen(None), listen(None)
    assert first.getsockname()[0] == second.getsockname()[0] == HOST
    assert first.getsockname()[1] != second.getsockname()[1]
    first.close()
    second.close()


def test_the_way_in_over_the_network(running):
    address, port = running[2], running[3]
    with pytest.raises(urllib.error.HTTPError) as refused:
        browser().open(f"http://{HOST}:{port}/")
    assert refused.value.code == 403
    refused.value.close()
    opened = browser()
    with opened.open(address) as page:
        assert page.geturl() == f"http://{HOST}:{port}/"
        assert "Server" not in page.headers
    with pytest.raises(urllib.error.HTTPError) as rebound:
        opened.open(urllib.request.Request(f"http://{HOST}:{port}/", headers={"Host": f"desk.example:{port}"}))
    assert rebound.value.code == 403
    rebound.value.close()


def test_it_ends_when_it_is_asked_to_and_the_folder_is_free(running):
    """The last test with this desk."""
    process, folder, address, port, _ = running
    opened = browser()
    with opened.open(address) as page:
        value = re.search(r'name="desk_form" value="([^"]+)"', page.read().decode())[1]
    form = urllib.request.Request(
        f"http://{HOST}:{port}/end", data=b"", headers={"Origin": f"http://{HOST}:{port}", "X-Desk-Form": value}
    )
    with opened.open(form) as page:
        assert "The desk is closed" in page.read().decode()
    assert process.wait(30) == 0
    assert (folder / "desk.lock").read_bytes() == b""


def test_no_other_command_loads_what_the_desk_needs():
    code = (
        "import sys\nfrom analyzer.run.cli import run\nrun(['--help'])\nrun(['desk', '--help'])\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stderr.split()
    assert {"flask", "werkzeug", "waitress", "platformdirs", "sqlite3", "analyzer.run.desk"} & set(loaded) == set()


def test_start_and_first_page_load_nothing_that_only_a_debrief_needs(tmp_path):
    code = (
        "import sys; from pathlib import Path; from analyzer.run.desk.serve import Gate, make_app, open_desk\n"
        "desk, gate = open_desk(Path(sys.argv[1]), workers=0), Gate(1)\n"
        "browser, base = make_app(desk, gate).test_client(), gate.address\n"
        "browser.get(gate.first_address.removeprefix(base.rstrip('/')), base_url=base)\n"
        "assert browser.get('/', base_url=base).status_code == 200; desk.close()\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True)
    heavy = {"pandas", "numpy", "matplotlib", "shapely", "pyproj", "pydantic", "analyzer.judged.assessment"}
    assert heavy & set(ran.stderr.split()) == set()
