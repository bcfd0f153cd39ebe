//! What a notebook has is on the sheet, in the words and digits of the notebook.

use super::*;

/// A book whose notebooks have all that a sheet may name besides the settings.
fn told() -> Memory<'static> {
    let machine = "+++\nkind = \"machine\"\nname = \"Fulmar\"\n+++\n\
        ```shock\ntravel = \"300 mm\"\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n\
        ```fork\nkind = \"coil\"\ntravel = \"300 mm\"\n```\n\
        ```adjusters\nfork.compression = \"24 clicks\"\nfork.rebound = \"22 clicks\"\n```\n\
        ```service\n\"engine oil\" = { every = \"10 h\", last = \"35 h\" }\n```\n\
        ```settings\nfork.compression = \"11 clicks\"\nfork.rebound = \"12 clicks\"\nshock.preload = \"6 mm\"\n\
        tyre.front = \"13 psi\"\ntyre_name.front = \"intermediate, half worn\"\ntyre_name.rear = \"soft, new\"\n\
        other.premix = \"40 to 1, the can with the red lid\"\nother.fuel = \"98, fresh on Friday\"\n```\n";
    let rider =
        "+++\nkind = \"rider\"\nname = \"Wren\"\n+++\n```rider\nmass = \"74 kg\"\nnumber = \"317\"\n```\n";
    let day = |date: &str, meter: &str, change: &str, stint: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"fulmar\"\nrider = \"wren\"\n+++\n\
             ```hours\nmeter = \"{meter}\"\n```\n{change}{stint}"
        )
    };
    let stint = "```stint\nlaps = \"2:04.1 2:02.8 2:03.3\"\nfeel = [\"headshake straight 3\"]\nresult = \"4th\"\n\
        travel_used.front = \"281 mm\"\ntravel_used.rear = \"268 mm\"\n```\n";
    let change = "```change\nfork.compression = \"2 clicks in\"\nshock.preload = \"1 turn in\"\nbecause = \"dives\"\n```\n";
    Memory::new()
        .with("fulmar.md", machine)
        .with("wren.md", rider)
        .with("first.md", day("2026-05-02", "41.3 h", "", stint))
        .with("second.md", day("2026-05-09", "43.5 h", change, ""))
}

/// A sheet's text in one line, as its words follow each other on paper.
fn words(page: &Page) -> String {
    text_of(&page.printed, |at| at == 1).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn what_the_notebook_has_stands_on_the_sheet() {
    for paper in [Paper::A4, Paper::Letter] {
        let [first, second] = pages(&told(), paper).try_into().unwrap_or_else(|_| panic!("two days"));
        for page in [&first, &second] {
            let words = words(page);
            for has in [
                // Premix and fuel.
                "premix 40 to 1, the can with the red lid",
                "fuel 98, fresh on Friday",
                // The rider.
                "number 317",
                "in gear 74 kg",
                // The tyres.
                "intermediate, half worn",
                "soft, new",
                // The last ride.
                "headshake straight 3",
                "3 laps: best 2:02.8, median 2:03.3",
                "result: 4th",
                "front 281 mm, rear 268 mm",
            ] {
                assert!(words.contains(has), "{}: {has:?} is not in {words}", page.name);
            }
        }
        let (first, second) = (words(&first), words(&second));
        for (words, has) in [
            (&first, "hour meter 41.3 h"),
            (&first, "engine oil in 3.7 h"),
            (&second, "engine oil in 1.5 h"),
            // The ride before, and when it was.
            (&second, "Last ride, 2026-05-02"),
            // The clicks left on a clicker, and a collar in turns.
            (&first, "11 clicks of 24"),
            (&second, "9 clicks of 24"),
            (&second, "12 clicks of 22"),
            (&first, "4 turns"),
            (&second, "5 turns"),
            (&second, "2 clicks in"),
            (&second, "1 turn in"),
        ] {
            assert!(words.contains(has), "{has:?} is not in {words}");
        }
    }
}

#[test]
fn what_the_notebook_has_not_is_not_on_the_sheet() {
    let [page] = pages(&emptiest(), Paper::A4).try_into().unwrap_or_else(|_| panic!("one day"));
    let words = words(&page);
    for name in ["premix", "fuel", "in gear", "number", "next service", "Last ride", "O-ring", "turns"] {
        assert!(!words.contains(name), "{name} is in {words}");
    }
}
