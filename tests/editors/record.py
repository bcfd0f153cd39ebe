#!/usr/bin/env python3
"""Records a client's conversation with the language server: see README.md beside this.

As `loambook` on the client's PATH it stands between the two and writes down every message. Without arguments every client that
is installed has its sitting, and nothing is kept.
"""

import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import threading

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent


def frames(stream):
    """The messages on a stream: their text, and their bytes as they came."""
    while True:
        head = b""
        while not head.endswith(b"\r\n\r\n"):
            byte = stream.read(1)
            if not byte:
                return
            head += byte
        length = next(
            int(line.split(b":")[1]) for line in head.split(b"\r\n") if line.lower().startswith(b"content-length")
        )
        body = stream.read(length)
        yield body, head + body


def between():
    """Passes everything on, and writes it down."""
    record = open(os.environ["RECORD"], "a", encoding="utf-8")
    lock = threading.Lock()
    book = os.environ["BOOK"]
    server = subprocess.Popen(
        [os.environ["LOAMBOOK"], *sys.argv[1:]], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0
    )

    left = threading.Event()

    def write_down(who, body):
        message = json.loads(body)
        if left.is_set():
            return
        if message.get("method") == "exit":
            left.set()
        if message.get("method") == "initialize":
            message["params"]["processId"] = 1
        line = json.dumps({"from": who, "message": message}, ensure_ascii=False)
        with lock:
            record.write(line.replace(book, "BOOK") + "\n")
            record.flush()

    def answers():
        for body, whole in frames(server.stdout):
            write_down("server", body)
            sys.stdout.buffer.write(whole)
            sys.stdout.buffer.flush()

    thread = threading.Thread(target=answers, daemon=True)
    thread.start()
    for body, whole in frames(sys.stdin.buffer):
        write_down("editor", body)
        server.stdin.write(whole)
        # Some wait for the server's end before they close its input.
        if left.is_set():
            break
    server.stdin.close()
    thread.join(timeout=10)
    sys.exit(server.wait())


# How each client is started, in the book's folder.
CLIENTS = {
    "neovim": ["nvim", "--headless", "-u", "NONE", "-i", "NONE", "-n", "-c", f"luafile {HERE / 'neovim.lua'}"],
    "emacs": ["emacs", "--batch", "-l", str(HERE / "emacs.el")],
    "helix": [str(HERE / "helix.sh")],
    "node": ["node", str(HERE / "node.cjs")],
}
# Other programs that they need.
NEEDS = {"helix": ["hx", "tmux"]}


def sitting(client, target):
    """A client's sitting over a copy of the book; every message is written to a file."""
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder).resolve()
        book, bin_folder = folder / "book", folder / "bin"
        shutil.copytree(HERE / "book", book)
        bin_folder.mkdir()
        (bin_folder / "loambook").symlink_to(pathlib.Path(__file__).resolve())
        target.unlink(missing_ok=True)
        here = dict(
            os.environ,
            PATH=f"{bin_folder}:{os.environ['PATH']}",
            RECORD=str(target),
            BOOK=str(book),
            LOAMBOOK=os.environ.get("LOAMBOOK", str(ROOT / "target" / "debug" / "loambook")),
            README=str(ROOT / "README.md"),
        )
        return subprocess.run(CLIENTS[client], env=here, cwd=book).returncode


def every():
    """Runs one sitting of each client that is installed, and prints which are missing; nothing is kept."""
    failed = False
    for client, command in CLIENTS.items():
        missing = [program for program in NEEDS.get(client, command[:1]) if not shutil.which(program)]
        if missing:
            print(f"{client}: not tried, no {' and no '.join(missing)} here", flush=True)
            continue
        with tempfile.TemporaryDirectory() as folder:
            status = sitting(client, pathlib.Path(folder) / "said.jsonl")
        print(f"{client}: {'well' if status == 0 else 'FAILED'}", flush=True)
        failed |= status != 0
    return int(failed)


if __name__ == "__main__":
    if pathlib.Path(sys.argv[0]).name == "loambook":
        between()
    elif len(sys.argv) == 1:
        sys.exit(every())
    else:
        client, name = sys.argv[1], sys.argv[-1]
        sys.exit(sitting(client, HERE / f"{name}.jsonl"))
