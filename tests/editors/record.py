#!/usr/bin/env python3
"""Records a client's conversation with the language server: see README.md beside this.

As `loambook` on the client's PATH it stands between the two and writes down every message.
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
    server.stdin.close()
    thread.join(timeout=10)
    sys.exit(server.wait())


def record(client):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder).resolve()
        book, bin_folder = folder / "book", folder / "bin"
        shutil.copytree(HERE / "book", book)
        bin_folder.mkdir()
        (bin_folder / "loambook").symlink_to(pathlib.Path(__file__).resolve())
        target = HERE / f"{client}.jsonl"
        target.unlink(missing_ok=True)
        here = dict(
            os.environ,
            PATH=f"{bin_folder}:{os.environ['PATH']}",
            RECORD=str(target),
            BOOK=str(book),
            LOAMBOOK=str(ROOT / "target" / "debug" / "loambook"),
            README=str(ROOT / "README.md"),
        )
        command = {
            "neovim": ["nvim", "--headless", "-u", "NONE", "-i", "NONE", "-n", "-c", f"luafile {HERE / 'neovim.lua'}"],
            "node": ["node", str(HERE / "node.cjs")],
        }[client]
        subprocess.run(command, env=here, cwd=book, check=True)


if __name__ == "__main__":
    if pathlib.Path(sys.argv[0]).name == "loambook":
        between()
    else:
        record(sys.argv[1])
