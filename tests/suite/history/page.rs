//! The season's page: statistics on stints made by hand, what is claimed and what is not.

use std::fmt::Write as _;

use loambook::advice::Advice;
use loambook::document::{self, Templates, tree};
use loambook::pages::season::{self, Design, Effect, Finding, History, Options, Page, Sureness};
use loambook::quantity::Units;
use loambook::render::csv;
use loambook::season::Changed;
use loambook::vocabulary::{Damper, Setting};

use super::{demo, open, store};

fn page<'b>(days: impl IntoIterator<Item = (&'b str, &'b str)>) -> Page {
    let (book, season) = open(&store(days));
    season::page(&book, &season, &Advice::shipped(), &Options::default())
}

fn history<'b>(days: impl IntoIterator<Item = (&'b str, &'b str)>) -> History {
    page(days).histories.remove(0)
}

fn stint(laps: &str) -> String {
    format!("```stint\nlaps = \"{laps}\"\n```\n")
}

fn change(what: &str) -> String {
    format!("```change\n{what}\nbecause = \"to see\"\n```\n")
}

const SLOW: &str = "2:04.0 2:04.2 2:04.4 2:04.6 2:04.8";
const FAST: &str = "2:02.0 2:02.1 2:02.3 2:02.6 2:02.9";

fn only_effect(day: &str) -> Effect {
    let mut effects = history([("2026-05-01", day)]).effects;
    assert_eq!(effects.len(), 1, "{effects:?}");
    effects.remove(0)
}

#[test]
fn a_change_is_told_by_the_shift_of_the_laps() {
    let day = [stint(SLOW), change("fork.height = \"2 mm down\""), stint(FAST)].concat();
    let effect = only_effect(&day);
    assert_eq!((effect.finding, effect.design), (Finding::Faster, Design::BeforeAfter));
    // By hand: the middle of the 25 differences, new less old; all 25 are below zero, so the p is that of the two
    // most lopsided of C(10, 5) = 252 deals.
    assert!((effect.shift.unwrap() - -2.0).abs() < 1e-9, "{effect:?}");
    assert!((effect.p.unwrap() - 2.0 / 252.0).abs() < 1e-12);
    assert_eq!((effect.what.as_str(), effect.because.as_str()), ("fork height 2 mm down", "to see"));
}

#[test]
fn going_back_is_preferred_and_told_once() {
    let day =
        [stint(SLOW), change("fork.height = \"2 mm down\""), stint(FAST), change("back = true"), stint(SLOW)]
            .concat();
    let effect = only_effect(&day);
    assert_eq!((effect.finding, effect.design, effect.laps), (Finding::Faster, Design::BackAgain, (10, 5)));
}

#[test]
fn stints_on_one_setting_are_one_outing() {
    let slow = [stint("2:04.0 2:04.2"), stint("2:04.4 2:04.6 2:04.8")].concat();
    let fast = [stint("2:02.0 2:02.1 2:02.3"), stint("2:02.6 2:02.9")].concat();
    let on = change("fork.height = \"2 mm down\"");
    let split = only_effect(&[slow.as_str(), &on, &fast, &change("back = true"), &slow].concat());
    let whole = only_effect(
        &[&stint(SLOW), &on, &stint(FAST), &change("back = true"), &stint(SLOW)]
            .map(|it| it.as_str())
            .concat(),
    );
    assert_eq!(split, whole);
    assert_eq!((split.design, split.laps), (Design::BackAgain, (10, 5)));
}

#[test]
fn going_somewhere_else_is_not_going_back() {
    let day = [
        stint(SLOW),
        change("fork.height = \"2 mm down\""),
        stint(FAST),
        change("fork.height = \"1 mm up\""),
        stint(SLOW),
    ]
    .concat();
    let effects = history([("2026-05-01", day.as_str())]).effects;
    let found: Vec<_> = effects.iter().map(|effect| (effect.design, effect.finding)).collect();
    assert_eq!(found, [(Design::BeforeAfter, Finding::Faster), (Design::BeforeAfter, Finding::Slower)]);
}

#[test]
fn several_changes_at_once_claim_nothing_even_with_a_way_back() {
    let both = "fork.height = \"2 mm down\"\ntyre.rear = \"-1 psi\"";
    let back = "fork.height = \"2 mm up\"\ntyre.rear = \"+1 psi\"";
    for again in [String::new(), [change(back), stint(SLOW)].concat()] {
        let effect = only_effect(&[stint(SLOW), change(both), stint(FAST), again].concat());
        assert_eq!(effect.finding, Finding::Confounded);
        assert_eq!((effect.shift, effect.p, effect.interval), (None, None, None));
    }
}

#[test]
fn settings_that_belong_together_are_one_change() {
    for pair in
        ["drive.rear = 51\ndrive.links = 116", "shock.spring = \"50 N/mm\"\nshock.preload = \"2 mm out\""]
    {
        let day =
            ["```settings\ndrive.links = 114\n```\n".to_owned(), stint(SLOW), change(pair), stint(FAST)]
                .concat();
        assert_eq!(only_effect(&day).finding, Finding::Faster, "{pair}");
    }
}

#[test]
fn a_damper_that_was_rebuilt_is_a_change_and_takes_its_clickers_with_it() {
    let rebuilt =
        |more: &str| format!("```valving fork\nnote = \"softer middle\"\nby = \"Wren\"\n```\n{more}");
    let clicks = change("fork.rebound = \"10 clicks\"\nfork.compression = \"2 clicks in\"");
    for more in ["", clicks.as_str()] {
        let effect = only_effect(&[stint(SLOW), rebuilt(more), stint(FAST)].concat());
        assert_eq!(effect.finding, Finding::Faster, "{more}");
        assert!(effect.what.contains("fork valving: softer middle"), "{}", effect.what);
    }
    // The other damper's clickers are another change.
    let shock = change("fork.height = \"2 mm down\"");
    let effect = only_effect(&[stint(SLOW), rebuilt(&shock), stint(FAST)].concat());
    assert_eq!(effect.finding, Finding::Confounded);
}

#[test]
fn a_rebuild_splits_what_was_tried_for_a_complaint() {
    let felt = |laps: &str, feel: &str| format!("```stint\nlaps = \"{laps}\"\nfeel = \"{feel}\"\n```\n");
    let (first, second) = (felt(SLOW, "harsh chatter 4"), felt(FAST, "harsh chatter 1"));
    let rebuilt = "```valving fork\ndate = 2026-05-04\n```\n";
    for second in [format!("{rebuilt}{second}"), format!("{second}{rebuilt}")] {
        let history = history([("2026-05-01", first.as_str()), ("2026-05-08", second.as_str())]);
        let trials = &history.complaints[0].trials;
        assert_eq!(trials.len(), 1, "{trials:?}");
        let told = (trials[0].what.as_str(), trials[0].before.as_str(), trials[0].after.as_str());
        assert_eq!(told, ("fork valving: rebuilt", "chatter 4", "chatter 1"));
        assert_eq!(trials[0].caution.as_deref(), Some("another day"));
        // It was done on the bench before the second day began, wherever it is written.
        let of_days: Vec<_> = history.days.iter().map(|day| day.changes.len()).collect();
        assert_eq!(
            (of_days, history.days[1].changes[0].what.as_str()),
            (vec![0, 1], "fork valving: rebuilt")
        );
    }
}

#[test]
fn too_few_laps_say_so_and_like_laps_show_nothing() {
    let few = [stint(SLOW), change("fork.height = \"2 mm down\""), stint("2:02.0 2:02.1 2:02.3")].concat();
    let effect = only_effect(&few);
    assert_eq!((effect.finding, effect.shift), (Finding::TooFewLaps, None));
    assert!(effect.claim.contains("5 and 3"), "{}", effect.claim);
    let same = [stint(SLOW), change("fork.height = \"2 mm down\""), stint(SLOW)].concat();
    let effect = only_effect(&same);
    assert_eq!(effect.finding, Finding::Unseen);
    assert!((effect.p.unwrap() - 1.0).abs() < 1e-12);
}

#[test]
fn stints_of_two_days_are_not_compared() {
    let second = [change("fork.height = \"2 mm down\""), stint(FAST)].concat();
    let history = history([("2026-05-01", stint(SLOW).as_str()), ("2026-05-08", second.as_str())]);
    assert!(history.effects.is_empty());
    let best = &history.best[0];
    assert_eq!((best.date.as_str(), best.sureness), ("2026-05-08", Sureness::OtherDays));
    assert_eq!(best.setting, "fork height 2 mm down");
}

#[test]
fn the_best_setting_is_sure_against_the_same_day_alone() {
    let day = [stint(SLOW), change("fork.height = \"2 mm down\""), stint(FAST)].concat();
    assert_eq!(history([("2026-05-01", day.as_str())]).best[0].sureness, Sureness::Seen);
    assert_eq!(history([("2026-05-01", stint(SLOW).as_str())]).best[0].sureness, Sureness::Alone);
    let close =
        [stint(SLOW), change("fork.height = \"2 mm down\""), stint(&SLOW.replace("04.0", "03.9"))].concat();
    assert_eq!(history([("2026-05-01", close.as_str())]).best[0].sureness, Sureness::Unseen);
}

#[test]
fn what_was_tried_for_a_complaint_is_told_with_its_outcome() {
    let felt = |feel: &str, verdict: &str| format!("```stint\nfeel = \"{feel}\"\n{verdict}```\n");
    let day = [
        felt("headshake straight 3 - as ever", ""),
        change("fork.height = \"2 mm down\""),
        felt("straight 1 headshake", "verdict = \"better\"\n"),
        change("fork.rebound = \"1 click in\""),
        felt("harsh braking 2", ""),
    ]
    .concat();
    let history = history([("2026-05-01", day.as_str())]);
    let shake = history.complaints.iter().find(|complaint| complaint.word == "headshake").unwrap();
    assert_eq!((shake.stints, shake.is_open), (2, false));
    let told: Vec<_> = shake.trials.iter().map(|it| (it.before.as_str(), it.after.as_str())).collect();
    assert_eq!(told, [("straight 3", "straight 1"), ("straight 1", "gone")]);
    assert_eq!(shake.trials[0].verdict.as_deref(), Some("better"));
    assert!(history.complaints.iter().any(|complaint| complaint.word == "harsh" && complaint.is_open));
}

fn sag(aboard: u32) -> String {
    format!("```sag rear\nhanging = \"610 mm\"\naboard = \"{aboard} mm\"\n```\n")
}

#[test]
fn a_drift_is_told_with_the_date_on_which_it_leaves_its_band() {
    // 103 mm on the first day and a millimetre more every ten days: 110 mm, the band's edge, seventy days on.
    let days: Vec<(String, String)> = (0..6)
        .map(|at| {
            (
                jiff::civil::date(2026, 5, 1)
                    .checked_add(jiff::Span::new().days(10 * i64::from(at)))
                    .unwrap(),
                at,
            )
        })
        .map(|(date, at)| (date.to_string(), sag(507 - at)))
        .collect();
    let history = history(days.iter().map(|(date, body)| (date.as_str(), body.as_str())));
    let drift = history.drifts.iter().find(|drift| drift.id.to_string() == "sag.rear.rider").unwrap();
    assert!(drift.is_seen);
    assert_eq!((drift.readings, drift.leaves.as_deref()), (6, Some("2026-07-10")));
    assert!(drift.by_time.starts_with("+10 mm"), "{}", drift.by_time);
}

#[test]
fn readings_before_a_change_that_moves_them_are_another_series() {
    let moved = format!("{}{}", change("shock.preload = \"1 mm in\""), sag(510));
    let history = history([
        ("2026-05-01", sag(500).as_str()),
        ("2026-05-11", sag(500).as_str()),
        ("2026-05-21", moved.as_str()),
        ("2026-05-31", sag(510).as_str()),
        ("2026-06-10", sag(510).as_str()),
    ]);
    let drift = history.drifts.iter().find(|drift| drift.id.to_string() == "sag.rear.rider").unwrap();
    assert_eq!((drift.readings, drift.since.as_str(), drift.is_seen), (3, "2026-05-21", false));
    let chart = history.charts.iter().find(|chart| chart.title == "rear rider sag").unwrap();
    assert_eq!(chart.marks.len(), 1);
    assert_eq!(chart.marks[0].name, "shock preload");
}

#[test]
fn a_span_and_a_machine_are_picked_out() {
    let (book, season) = demo();
    let options = Options {
        machine: Some("corrie-450".to_owned()),
        from: Some(jiff::civil::date(2026, 4, 1)),
        to: Some(jiff::civil::date(2026, 5, 31)),
        ..Options::default()
    };
    let page = season::page(&book, &season, &Advice::shipped(), &options);
    assert_eq!(page.histories.len(), 1);
    let dates: Vec<&str> = page.histories[0].days.iter().map(|day| day.date.as_str()).collect();
    assert_eq!(dates, ["2026-04-11", "2026-04-25", "2026-05-09"]);
    let all = season::page(&book, &season, &Advice::shipped(), &Options::default());
    let days: usize = all.histories.iter().map(|history| history.days.len()).sum();
    assert_eq!(days, book.days.len());
}

#[test]
fn the_table_has_a_row_a_stint() {
    let page = page([
        ("2026-05-01", [stint(SLOW), change("fork.height = \"2 mm down\""), stint(FAST)].concat().as_str()),
        ("2026-05-08", sag(505).as_str()),
    ]);
    let text = csv::write(&season::table(&page, &Units::default()));
    let mut reader = ::csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<::csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let heads = reader.headers().unwrap().clone();
    let cell = |row: usize, head: &str| {
        let at = heads.iter().position(|known| known == head).unwrap();
        rows[row].get(at).unwrap().to_owned()
    };
    assert_eq!(rows.len(), 3);
    assert_eq!((cell(1, "changed").as_str(), cell(1, "stint").as_str()), ("fork height 2 mm down", "2"));
    assert_eq!(cell(1, "times, s"), "122 122.1 122.3 122.6 122.9");
    assert_eq!((cell(2, "stint").as_str(), cell(2, "laps").as_str()), ("", ""));
    // In the book's units, named in the head, as a hand would write it.
    assert_eq!(cell(2, "sag.rear.rider, mm"), "105.0");
}

#[test]
fn the_history_in_a_terminal_keeps_to_eighty_columns_and_tells_every_day() {
    let (book, season) = demo();
    let page = season::page(&book, &season, &Advice::shipped(), &Options::default());
    let told = crate::desk::told("season.md", &page);
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    for day in page.histories.iter().flat_map(|history| &history.days) {
        assert!(told.lines().any(|line| line.trim_start().starts_with(&day.date)), "{}", day.date);
    }
}

#[test]
fn figures_of_a_row_are_what_held_when_its_stint_was_ridden() {
    let body = [
        "```settings\ntyre.front = \"13 psi\"\n```\n",
        &stint(SLOW),
        &change("tyre.front = \"-1 psi\""),
        &stint(FAST),
    ];
    let page = page([("2026-05-01", body.concat().as_str())]);
    let text = csv::write(&season::table(&page, &Units::default()));
    let mut reader = ::csv::Reader::from_reader(text.as_bytes());
    let at = reader.headers().unwrap().iter().position(|head| head == "tyre.front, psi").unwrap();
    let told: Vec<String> = reader.records().map(|row| row.unwrap().get(at).unwrap().to_owned()).collect();
    assert_eq!(told, ["13.0", "12.0"]);
}

#[test]
fn no_difference_never_stands_beside_a_small_p() {
    let (book, season) = demo();
    let page = season::page(&book, &season, &Advice::shipped(), &Options::default());
    let effects: Vec<&Effect> = page.histories.iter().flat_map(|history| &history.effects).collect();
    assert!(effects.iter().any(|effect| effect.finding == Finding::Unseen));
    for effect in effects {
        let is_told = matches!(effect.finding, Finding::Faster | Finding::Slower);
        assert_eq!(effect.p_shown.is_some(), is_told, "{effect:?}");
    }
}

/// The text of a document: headings, and tables a row a line.
fn text(blocks: &[tree::Block], out: &mut String) {
    for block in blocks {
        match block {
            tree::Block::Heading { text, .. } => {
                let _ = writeln!(out, "\n# {}", tree::plain_text(text));
            }
            tree::Block::Paragraph(inlines) => {
                let _ = writeln!(out, "{}", tree::plain_text(inlines));
            }
            tree::Block::Table(table) => {
                for row in std::iter::once(&table.head).chain(&table.rows) {
                    let cells: Vec<String> = row.iter().map(|cell| tree::plain_text(cell)).collect();
                    let _ = writeln!(out, "{}", cells.join(" | "));
                }
            }
            tree::Block::Chart { chart, .. } => {
                let _ = writeln!(out, "[{}]", chart.words());
            }
            _ => {}
        }
    }
}

#[test]
fn the_page_of_the_demo_book_says_this() {
    let (book, season) = demo();
    let options = Options { machine: Some("corrie-450".to_owned()), ..Options::default() };
    let page = season::page(&book, &season, &Advice::shipped(), &options);
    let document = document::compose("season.md", &page, &Templates::new([]).unwrap()).unwrap();
    let mut told = String::new();
    text(&document.blocks, &mut told);
    crate::snapshots::assert_kept("season.txt", &told);
}

#[test]
fn a_jet_is_never_credited_with_arm_pump() {
    let felt = |feel: &str, verdict: &str| format!("```stint\nfeel = \"{feel}\"\n{verdict}```\n");
    let better = "verdict = \"better\"\n";
    let after = |changes: &str| {
        let day = [felt("arm-pump 4", ""), change(changes), felt("arm-pump 2", better)].concat();
        let mut history = history([("2026-05-01", day.as_str())]);
        history.complaints.remove(0).trials.remove(0)
    };
    let jet = after("jet.main = 170");
    assert_eq!((jet.verdict.as_deref(), jet.caution.as_deref(), jet.is_credited), (None, None, false));
    assert_eq!((jet.before.as_str(), jet.after.as_str()), ("4", "2"));
    // Compression is one of its steps.
    let clicks = after("fork.compression = \"2 clicks out\"");
    assert_eq!((clicks.verdict.as_deref(), clicks.caution), (Some("better"), None));
    // Of the two, only the clicks count as tried.
    let both = after("fork.compression = \"2 clicks out\"\njet.main = 170");
    assert_eq!(both.what, clicks.what);
    assert_eq!((both.beside.as_deref(), both.caution), (Some("main jet 170"), None));
}

#[test]
fn what_was_changed_by_itself_for_the_next_stint_was_tried_whether_the_advice_has_it_or_not() {
    let felt =
        |feel: &str, verdict: &str| format!("```stint\nlaps = \"{FAST}\"\nfeel = \"{feel}\"\n{verdict}```\n");
    let trial = |word: &str, changes: &str| {
        let known = "```settings\ntyre.front = \"13 psi\"\nfork.rebound = \"12 clicks\"\nfork.compression = \"12 clicks\"\n```\n";
        let day = [known.to_owned(), felt(word, ""), change(changes), felt(word, "verdict = \"better\"\n")]
            .concat();
        history([("2026-05-01", day.as_str())]).complaints.remove(0).trials.remove(0)
    };
    for (word, changes) in [
        ("pushes mid-corner 2", "tyre.front = \"-0.5 psi\""),
        ("headshake straight 2", "fork.rebound = \"3 clicks in\""),
    ] {
        assert_eq!(
            Advice::shipped()
                .bears_on(word.split(' ').next().unwrap(), changed(changes.split(' ').next().unwrap())),
            Some(false)
        );
        let tried = trial(word, changes);
        assert_eq!((tried.is_credited, tried.verdict.as_deref(), tried.beside), (true, Some("better"), None));
        assert!(tried.laps.is_some(), "{word}");
        // Beside a step of the advice it was changed then.
        let both = trial("harsh chatter 2", &format!("fork.compression = \"2 clicks out\"\n{changes}"));
        assert!(both.is_credited && (both.beside.is_some() || changes.starts_with("fork")), "{both:?}");
    }
    // The engine has no part in a push.
    assert!(!trial("pushes mid-corner 2", "jet.main = 170").is_credited);
    // None of it is the demo's: a front tyre for a push, rebound for a headshake.
    let (book, season) = demo();
    let options = Options { rider: Some("senior".to_owned()), ..Options::default() };
    let page = season::page(&book, &season, &Advice::shipped(), &options);
    let trials = page.histories[0].complaints.iter().flat_map(|complaint| &complaint.trials);
    let credited: Vec<&str> =
        trials.filter(|trial| trial.is_credited).map(|trial| trial.what.as_str()).collect();
    assert!(
        credited.contains(&"front tyre −0.5 psi") && credited.contains(&"fork rebound 3 clicks in"),
        "{credited:?}"
    );
}

/// A setting by its name, or the fork's valving.
fn changed(name: &str) -> Changed {
    Setting::parse(name).map_or(Changed::Valving(Damper::Fork), Changed::Setting)
}

#[test]
fn settings_that_bear_on_a_complaint_are_those_of_its_steps() {
    let advice = Advice::shipped();
    let bears = |word, name| advice.bears_on(word, changed(name));
    assert_eq!(bears("arm-pump", "jet.main"), Some(false));
    assert_eq!(bears("arm-pump", "fork.compression"), Some(true));
    // The front sag decides it, and preload and springs set the front sag.
    assert_eq!(bears("arm-pump", "fork.spring"), Some(true));
    assert_eq!(bears("arm-pump", "shock.spring"), Some(false));
    // A rebuild counts as a change of its clickers.
    assert_eq!(bears("arm-pump", "valving.fork"), bears("arm-pump", "fork.compression"));
    assert_eq!(bears("heavy-steering", "tyre.front"), Some(true));
    assert_eq!(bears("no-such-complaint", "jet.main"), None);
}

#[test]
fn chambers_stand_in_the_order_of_the_machine() {
    let (book, season) = demo();
    let options = Options { rider: Some("senior".to_owned()), ..Options::default() };
    let page = season::page(&book, &season, &Advice::shipped(), &options);
    let history = &page.histories[0];
    let best = history.best.iter().map(|best| &best.setting);
    let told: Vec<_> = best.filter(|told| told.contains("counter chamber")).collect();
    assert!(!told.is_empty());
    for what in told {
        let (main, counter) = (what.find("main chamber"), what.find("counter chamber"));
        assert!(main.is_some() && main < counter, "{what}");
    }
}
