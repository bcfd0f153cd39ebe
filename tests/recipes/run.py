"""Runs the recipes of the guide as printed there, over a small federation with known answers.

    python3 run.py LOAMBOOK [--parquet]

Each question is asked by both engines, and both must say the same, and what was put in.
"""

import argparse
import glob
import math
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import duckdb
import pandas as pd

import federation

GUIDE = pathlib.Path(__file__).resolve().parents[2] / "templates" / "guide"
BOOKS, DAYS = 12, 60


def fences(page, language):
    return re.findall(rf"^```{language}\n(.*?)^```$", (GUIDE / page).read_text(), re.M | re.S)


def recipes():
    """The functions of the second page, without the lines that it runs at its end."""
    (code,) = fences("federation.md", "python")
    space = {"__name__": "recipes"}
    exec(compile(code, "templates/guide/federation.md", "exec"), space)
    return space


def export(program, books, tables, form):
    running = [
        subprocess.Popen(
            [program, "export", "--book", book, "--name", book.name, "--format", form, "-o", tables / book.name],
            stdout=subprocess.DEVNULL,
        )
        for book in sorted(books.iterdir())
    ]
    assert all(process.wait() == 0 for process in running), "an export failed"


def query(sql, form):
    if form == "parquet":
        sql = re.sub(r"read_csv\('(\*\*/\w+)\.csv'", r"read_parquet('\1.parquet'", sql)
    return duckdb.connect().execute(sql).df()


def close(one, other, by):
    assert abs(one - other) <= by, f"{one} is not {other} ± {by}"


def check_cures(sql, dask):
    by = ["complaint", "change"]
    sql = sql.sort_values(by).reset_index(drop=True)[[*by, "times", "gone", "less"]]
    dask = dask.groupby(by).sum().compute().reset_index().sort_values(by).reset_index(drop=True)
    pd.testing.assert_frame_equal(sql, dask[sql.columns], check_dtype=False)
    assert set(zip(sql["complaint"], sql["change"])) == set(federation.TRUTH["cures"])
    for row in sql.itertuples():
        share = federation.TRUTH["cures"][(row.complaint, row.change)]
        close(row.gone / row.times, share, 4 * math.sqrt(share * (1 - share) / row.times))


def check_drift(sql, dask):
    dask = dask.compute().sort_values("book")
    # Each book reaches over one winter, with a new spring of the same rate.
    assert len(sql) == len(dask) == 2 * BOOKS
    # The SQL keeps the books apart without naming them: they are compared in the order of their slopes.
    for one, other in zip(sorted(sql["mm_a_month"]), sorted(dask["mm_a_month"])):
        close(one, other, 1e-6)
    for rate, slope in federation.TRUTH["drift"].items():
        found = sql[(sql["n_per_mm"] - rate).abs() < 0.01]
        # The precision of a slope through evenly spaced days grows as the cube of their number.
        weight = found["days"] ** 3
        close((found["mm_a_month"] * weight).sum() / weight.sum(), slope, 0.15)


def check_spread(sql, dask):
    dask = dask.compute().groupby("clicks")["spread"].agg(["count", "median"])
    assert list(sql["clicks"]) == list(dask.index)
    for row in sql.itertuples():
        assert row.rides == dask.loc[row.clicks, "count"]
        close(row.spread_s, dask.loc[row.clicks, "median"], 0.0006)
    # Seven laps give a spread that is a little too small: its order is more reliable than its size.
    told = [row.spread_s for row in sql.itertuples()]
    assert told == sorted(told), told
    for clicks, spread in federation.TRUTH["spread"].items():
        close(sql.loc[sql["clicks"] == clicks, "spread_s"].iloc[0], spread, 0.35 * spread)


def same(csv, parquet):
    """Both formats have the same rows in the same order, except for the `'` before text that a spreadsheet would compute."""
    for path in sorted(glob.glob("*/*.csv", root_dir=csv)):
        one = pd.read_csv(csv / path, dtype=str, keep_default_na=False)
        other = pd.read_parquet((parquet / path).with_suffix(".parquet"))
        assert list(one.columns) == list(other.columns) and len(one) == len(other), path
        for column in one:
            told, held = one[column], other[column]
            if pd.api.types.is_numeric_dtype(held):
                told = pd.to_numeric(told)
                assert ((told == held) | (told.isna() & held.isna())).all(), f"{path}: {column}"
            else:
                held = held.map(lambda cell: "" if cell is None or cell is pd.NA or cell != cell else str(cell))
                is_same = (told == held) | (told == "'" + held)
                assert is_same.all(), f"{path}: {column}: {told[~is_same].iloc[0]!r}, {held[~is_same].iloc[0]!r}"


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("program", type=pathlib.Path)
    asked.add_argument("--parquet", action="store_true")
    asked = asked.parse_args()
    program, forms = asked.program.resolve(), ["csv", "parquet"] if asked.parquet else ["csv"]
    cures, drift, spread = fences("tables.md", "sql")
    space, home = recipes(), os.getcwd()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for number in range(BOOKS):
            federation.book(folder / "books" / f"{number:04}", number, DAYS)
        for form in forms:
            export(program, folder / "books", folder / form, form)
            os.chdir(folder / form)
            folders = sorted(os.path.dirname(path) for path in glob.glob("*/schema.json"))
            assert len(folders) == BOOKS
            ask = lambda name: space["of_all"](space[name], folders)
            check_cures(query(cures, form), ask("cures"))
            check_drift(query(drift, form), ask("drift"))
            check_spread(query(spread, form), ask("spread"))
            # And as a reader runs it who has typed it, on several processes.
            typed = folder / "asked.py"
            typed.write_text(fences("federation.md", "python")[0])
            subprocess.run([sys.executable, typed], check=True)
            os.chdir(home)
            print(f"{form}: three questions, two engines, {BOOKS} books of {DAYS} days: passed")
        if asked.parquet:
            demo = pathlib.Path(__file__).resolve().parents[2] / "notebooks"
            for form in forms:
                subprocess.run([program, "export", "--book", demo, "--format", form, "-o", folder / form / "demo"], check=True, stdout=subprocess.DEVNULL)
            same(folder / "csv", folder / "parquet")
            print("both formats have the same rows")


if __name__ == "__main__":
    sys.exit(main())
