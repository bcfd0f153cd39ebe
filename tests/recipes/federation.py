"""Writes books of many riders, with known answers for the recipes of the guide.

    python3 federation.py FOLDER --books 1000 --days 1000

Every book has one machine and rider. What is put in, and what the recipes must bring out again, is in `TRUTH`; the chance in
it is drawn from the book's number, so that the same call writes the same books.
"""

import argparse
import datetime
import pathlib
import random

TRUTH = {
    # The share of rides, with a complaint answered by a change, after which the complaint was gone.
    "cures": {
        ("packs", "shock.rebound"): 0.7,
        ("packs", "shock.low_compression"): 0.2,
        ("dives", "fork.compression"): 0.6,
        ("dives", "fork.rebound"): 0.1,
    },
    # Growth of the rider sag in a month, in mm, by the spring's rate in N/mm.
    "drift": {42: 1.2, 45: 0.8, 48: 0.5, 51: 0.2},
    # The spread of laps in s, by the clicks of the change before them: a rider on something new is less even.
    "spread": {0: 0.3, 1: 0.35, 2: 0.45, 4: 0.8},
}

PLACES = {"packs": "whoops", "dives": "braking"}
# Halves of a normal distribution's mass lie within this many standard deviations of the middle.
MAD = 0.6745


def laps(chance, middle, spread):
    """Seven laps whose median distance from their middle is about `spread`."""
    times = (middle + chance.gauss(0, spread / MAD) for _ in range(7))
    return " ".join(f"{int(t // 60)}:{t % 60:04.1f}" for t in times)


def machine(rate):
    return f"""+++
kind = "machine"
+++

```shock
travel = "300 mm"
leverage = [2.9, 2.55]
```

```adjusters
shock.rebound = "26 clicks"
shock.low_compression = "26 clicks"
fork.compression = "26 clicks"
fork.rebound = "26 clicks"
```

```settings
shock.spring = "{rate} N/mm"
shock.preload = "7 mm"
shock.rebound = "13 clicks"
shock.low_compression = "13 clicks"
fork.compression = "13 clicks"
fork.rebound = "13 clicks"
```
"""


def day(chance, date, sag):
    """A day: sag, a ride with a complaint, one change, a ride on it, and back again."""
    complaint, setting = chance.choice(sorted(TRUTH["cures"]))
    clicks = chance.choice([1, 2, 4])
    is_gone = chance.random() < TRUTH["cures"][(complaint, setting)]
    feel = "" if is_gone else f'feel = "{complaint} {PLACES[complaint]} 3"\n'
    aboard = 612 - sag
    return f"""+++
kind = "day"
date = {date}
machine = "m"
rider = "r"
track = "t"
+++

```sag rear
hanging = "612 mm"
aboard = "{aboard + chance.gauss(0, 0.5):.1f} {aboard + chance.gauss(0, 0.5):.1f} mm"
```

```stint
laps = "{laps(chance, 125, TRUTH['spread'][0])}"
feel = "{complaint} {PLACES[complaint]} 3"
```

```change
{setting} = "{clicks} clicks out"
```

```stint
laps = "{laps(chance, 125, TRUTH['spread'][clicks])}"
{feel}```

```change
back = true
```
"""


def book(folder, number, days):
    chance = random.Random(number)
    rate = sorted(TRUTH["drift"])[number % len(TRUTH["drift"])]
    files = {
        "book.toml": f'title = "Book {number}"\n',
        "machines/m.md": machine(rate),
        "riders/r.md": '+++\nkind = "rider"\n+++\n\n```rider\nmass = "76 kg"\n```\n',
        "tracks/t.md": '+++\nkind = "track"\n+++\n',
    }
    # So that a few days also reach over the turn of a year.
    date = datetime.date(2015, 8, 1)
    for _ in range(days):
        # Every third day of the year and never a gap, so that a thousand days take eight years.
        date += datetime.timedelta(days=3)
        # A spring settles through a season; each winter a new one of the same rate is fitted.
        month = (date - datetime.date(date.year, 1, 1)).days / 30
        files[f"days/{date}.md"] = day(chance, date, 100 + TRUTH["drift"][rate] * month)
    for path, text in files.items():
        path = folder / path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=pathlib.Path)
    asked.add_argument("--books", type=int, default=8)
    asked.add_argument("--days", type=int, default=40)
    asked.add_argument("--first", type=int, default=0)
    asked = asked.parse_args()
    for number in range(asked.first, asked.first + asked.books):
        book(asked.folder / f"{number:04}", number, asked.days)


if __name__ == "__main__":
    main()
