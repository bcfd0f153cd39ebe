"""Makes a federation, exports it by several processes at once, asks the guide's three questions of all of it, and prints the time of each.

    python3 measure.py LOAMBOOK FOLDER --books 1000 --days 1000 --processes 2 --format parquet

What is there already is taken as it is, so that a run that was broken off goes on.
"""

import argparse
import concurrent.futures
import glob
import os
import pathlib
import resource
import shutil
import subprocess
import time

import federation
import run


def made(folder, number, days):
    """Writes a book, exports it and deletes its notebooks: a million files would be too many to keep."""
    program, tables, form, is_kept = made.how
    book, out = folder / "books" / f"{number:04}", tables / f"{number:04}"
    if (out / "schema.json").exists():
        return 0.0, 0.0
    start = time.perf_counter()
    federation.book(book, number, days)
    written = time.perf_counter()
    command = [program, "export", "--book", book, "--name", book.name, "--format", form, "-o", out]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    took = time.perf_counter() - written
    if not is_kept:
        shutil.rmtree(book)
    return written - start, took


def ready(*how):
    made.how = how


def timed(name, work):
    start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF)
    answer = work()
    after = resource.getrusage(resource.RUSAGE_SELF)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"{name}: {time.perf_counter() - start:.1f} s, {spent:.1f} s of them computed here", flush=True)
    return answer


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("program", type=pathlib.Path)
    asked.add_argument("folder", type=pathlib.Path)
    asked.add_argument("--books", type=int, default=1000)
    asked.add_argument("--days", type=int, default=1000)
    asked.add_argument("--processes", type=int, default=2)
    asked.add_argument("--format", default="parquet")
    asked.add_argument("--keep", action="store_true", help="the notebooks too")
    asked = asked.parse_args()
    folder = asked.folder.resolve()
    tables = folder / "tables"
    how = (asked.program.resolve(), tables, asked.format, asked.keep)
    start = time.perf_counter()
    with concurrent.futures.ProcessPoolExecutor(asked.processes, initializer=ready, initargs=how) as pool:
        spent = [pool.submit(made, folder, number, asked.days) for number in range(asked.books)]
        spent = [future.result() for future in spent]
    took = time.perf_counter() - start
    size = sum(os.path.getsize(path) for path in glob.glob(f"{tables}/*/*"))
    print(f"{asked.books} books of {asked.days} days, {asked.processes} at once: {took:.0f} s, of which each process took "
          f"{sum(write for write, _ in spent):.0f} s to write and {sum(export for _, export in spent):.0f} s to export; "
          f"{size / 1e6:.0f} MB of tables", flush=True)
    os.chdir(tables)
    for name, sql in zip(["cures", "drift", "spread"], run.fences("tables.md", "sql")):
        print(timed(f"DuckDB, {name}", lambda: run.query(sql, asked.format)).head(8).to_string(), flush=True)
    space = run.recipes()
    folders = sorted(os.path.dirname(path) for path in glob.glob("*/schema.json"))
    from dask.distributed import Client

    with Client(n_workers=asked.processes, threads_per_worker=1, dashboard_address=None) as _:
        timed(f"Dask, all three, {asked.processes} processes", lambda: space["main"](folders))


if __name__ == "__main__":
    main()
