//! The replay against a reference model by the plainest means. Made-up days are inserted, removed and given other
//! dates, on two machines by two riders; the state at the end of each day is looked up in both.

use std::collections::BTreeMap;

use jiff::civil::{Date, date};
use loambook::season::{DayReplay, Held};
use loambook::source::{Listing, Memory, ReadError, Store};
use loambook::vocabulary::{Damper, Setting};
use proptest::prelude::*;

use crate::books;

const MACHINES: [&str; 2] = ["first", "second"];
const RIDERS: [&str; 2] = ["a", "b"];

const MACHINE: &str = r#"+++
kind = "machine"
+++
```shock
travel = "300 mm"
leverage = 3
```
```link high
leverage = 3.1
```
```drive
front = 13
rear = 50
chain = "520"
```
```settings
fork.height = "5 mm"
fork.rebound = "12 clicks"
```
```settings mud
fork.rebound = "15 clicks"
drive.rear = 52
```
"#;

/// The first rider begins with their own settings on the first machine.
const RIDER_A: &str = "+++\nkind = \"rider\"\n+++\n```rider\nmass = \"80 kg\"\n```\n\
    ```settings first\nfork.rebound = \"9 clicks\"\n```\n";
const RIDER_B: &str = "+++\nkind = \"rider\"\n+++\n";

/// One block of a made-up day.
#[derive(Debug, Clone)]
enum Act {
    /// As found.
    Height(i32),
    /// Up and down, by a change.
    Raise(i32),
    /// Out and in, by a change.
    Click(i32),
    /// Two settings at once, one of the machine and one of the rider.
    RearAndHeight(i32, i32),
    Link,
    /// A plan of the day's own under the machine's plan's name.
    Plan(i32),
    UseByChange,
    UseBySettings,
    Back,
    /// The fork's damper, here or on the morning of a date.
    Rebuild(Option<u16>),
    Mass(i32),
}

#[derive(Debug, Clone)]
struct Day {
    on: u16,
    machine: usize,
    rider: usize,
    acts: Vec<Act>,
}

/// What happens to a book between two looks at it.
#[derive(Debug, Clone)]
enum Edit {
    Insert(Day),
    Remove(prop::sample::Index),
    Date(prop::sample::Index, u16),
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        (0..20_i32).prop_map(Act::Height),
        (-4..5_i32).prop_map(Act::Raise),
        (-9..5_i32).prop_map(Act::Click),
        (48..54_i32, 0..20_i32).prop_map(|(rear, height)| Act::RearAndHeight(rear, height)),
        Just(Act::Link),
        (8..20_i32).prop_map(Act::Plan),
        Just(Act::UseByChange),
        Just(Act::UseBySettings),
        Just(Act::Back),
        Just(Act::Back),
        prop::option::of(0..60_u16).prop_map(Act::Rebuild),
        (60..90_i32).prop_map(Act::Mass),
    ]
}

fn day() -> impl Strategy<Value = Day> {
    (0..60_u16, 0..2_usize, 0..2_usize, prop::collection::vec(act(), 0..6))
        .prop_map(|(on, machine, rider, acts)| Day { on, machine, rider, acts })
}

fn edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        3 => day().prop_map(Edit::Insert),
        1 => any::<prop::sample::Index>().prop_map(Edit::Remove),
        1 => (any::<prop::sample::Index>(), 0..60_u16).prop_map(|(at, on)| Edit::Date(at, on)),
    ]
}

/// The days under their paths, which do not show their dates, after all edits.
fn edited(edits: &[Edit]) -> BTreeMap<String, Day> {
    let mut days: BTreeMap<String, Day> = BTreeMap::new();
    for (number, edit) in edits.iter().enumerate() {
        let paths: Vec<String> = days.keys().cloned().collect();
        match edit {
            // Later files before earlier ones and behind them.
            Edit::Insert(day) => {
                drop(days.insert(format!("days/{}-{number}.md", number * 7 % 10), day.clone()))
            }
            _ if paths.is_empty() => {}
            Edit::Remove(at) => drop(days.remove(at.get(&paths))),
            Edit::Date(at, on) => days.get_mut(at.get(&paths)).unwrap().on = *on,
        }
    }
    days
}

fn on(offset: u16) -> Date {
    date(2026, 3, 1).saturating_add(jiff::Span::new().days(i64::from(offset)))
}

fn notebook(path: &str, day: &Day) -> String {
    let (machine, rider) = (MACHINES[day.machine], RIDERS[day.rider]);
    let mut text = format!(
        "+++\nkind = \"day\"\ndate = {}\nmachine = \"{machine}\"\nrider = \"{rider}\"\n+++\n",
        on(day.on)
    );
    let change = |body: String| format!("```change\n{body}\nbecause = \"x\"\n```\n");
    for (block, act) in day.acts.iter().enumerate() {
        text += &match act {
            Act::Height(height) => format!("```settings\nfork.height = \"{height} mm\"\n```\n"),
            Act::Raise(by) if *by < 0 => change(format!("fork.height = \"{} mm down\"", -by)),
            Act::Raise(by) => change(format!("fork.height = \"{by} mm up\"")),
            Act::Click(by) if *by < 0 => change(format!("fork.rebound = \"{} clicks in\"", -by)),
            Act::Click(by) => change(format!("fork.rebound = \"{by} clicks out\"")),
            Act::RearAndHeight(rear, height) => {
                change(format!("drive.rear = {rear}\nfork.height = \"{height} mm\""))
            }
            Act::Link => change("shock.link = \"high\"".to_owned()),
            Act::Plan(clicks) => format!("```settings mud\nfork.rebound = \"{clicks} clicks\"\n```\n"),
            Act::UseByChange => change("use = \"mud\"".to_owned()),
            Act::UseBySettings => "```settings\nuse = \"mud\"\n```\n".to_owned(),
            Act::Back => "```change\nback = true\n```\n".to_owned(),
            Act::Rebuild(None) => format!("```valving fork\nnote = \"{path} {block}\"\n```\n"),
            Act::Rebuild(Some(offset)) => {
                format!("```valving fork\ndate = {}\nnote = \"{path} {block}\"\n```\n", on(*offset))
            }
            Act::Mass(mass) => format!("```rider\nmass = \"{mass} kg\"\n```\n"),
        };
    }
    text
}

fn store(days: &BTreeMap<String, Day>) -> Memory<'static> {
    let mut store = Memory::new().with("riders/a.md", RIDER_A).with("riders/b.md", RIDER_B);
    for machine in MACHINES {
        store.set(format!("machines/{machine}.md"), MACHINE);
    }
    for (path, day) in days {
        store.set(path.as_str(), notebook(path, day));
    }
    store
}

/// The same files, listed in reverse order.
struct Backwards<'a>(&'a Memory<'a>);

impl Store for Backwards<'_> {
    fn list(&self) -> Result<Listing, ReadError> {
        let mut listing = self.0.list()?;
        listing.files.reverse();
        Ok(listing)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        self.0.read(path, limit)
    }
}

/// The state at the end of a day.
#[derive(Debug, Clone, PartialEq)]
struct End {
    height: Option<i32>,
    /// `None` after an impossible step.
    rebound: Option<i32>,
    rear: i32,
    link: Option<String>,
    mass: Option<i32>,
    rebuild: Option<String>,
    previous: Option<usize>,
}

fn replayed(store: &dyn Store) -> Vec<End> {
    books::replayed(store).season.days.iter().map(|day| end(day)).collect()
}

fn end(day: &DayReplay) -> End {
    let state = day.end();
    let maybe = |name: Setting, scale: f64| {
        Some((state.setting(name)?.value.number().unwrap() * scale).round() as i32)
    };
    let number = |name: Setting, scale: f64| maybe(name, scale).unwrap();
    let word = |held: Option<&Held>| held.map(|held| held.value.word().unwrap().to_owned());
    End {
        height: maybe(Setting::FORK_HEIGHT, 1e3),
        rebound: maybe(Setting::FORK_REBOUND, 1.0),
        rear: number(Setting::DRIVE_REAR, 1.0),
        link: word(state.setting(Setting::SHOCK_LINK)),
        mass: state.rider().and_then(|rider| rider.mass).map(|mass| mass.value().round() as i32),
        rebuild: word(state.valving(Damper::Fork)),
        previous: day.previous,
    }
}

/// One machine with one rider.
#[derive(Clone, Default)]
struct Pair {
    height: Option<i32>,
    rebound: Option<i32>,
    link: Option<String>,
    /// What each change found in force before it.
    undo: Vec<Vec<Old>>,
    last: Option<usize>,
}

#[derive(Clone)]
enum Old {
    Height(Option<i32>),
    Rebound(Option<i32>),
    Rear(i32),
    Link(Option<String>),
}

/// When a rebuild counts from: the morning of a date, or a block of a day on it.
type When = (u16, Option<(usize, usize)>);

fn model(days: &BTreeMap<String, Day>) -> Vec<End> {
    let mut order: Vec<(&String, &Day)> = days.iter().collect();
    order.sort_by_key(|(path, day)| (day.on, *path));
    let mut rebuilds: Vec<(usize, When, String)> = Vec::new();
    for (index, (path, day)) in order.iter().enumerate() {
        for (block, act) in day.acts.iter().enumerate() {
            let Act::Rebuild(on) = act else { continue };
            let when = match on {
                Some(on) if *on != day.on => (*on, None),
                _ => (day.on, Some((index, block))),
            };
            rebuilds.push((day.machine, when, format!("{path} {block}")));
        }
    }
    let mut rears = [50, 50];
    let mut masses = [Some(80), None];
    let mut pairs: BTreeMap<(usize, usize), Pair> = BTreeMap::new();
    let mut ends = Vec::new();
    for (index, (_, day)) in order.into_iter().enumerate() {
        let own = if (day.machine, day.rider) == (0, 0) { 9 } else { 12 };
        let fresh = Pair { height: Some(5), rebound: Some(own), ..Pair::default() };
        let pair = pairs.entry((day.machine, day.rider)).or_insert(fresh);
        let rear = &mut rears[day.machine];
        ride(day, pair, rear, &mut masses[day.rider]);
        let evening = (day.on, Some((index, usize::MAX)));
        let known = rebuilds.iter().filter(|(machine, when, _)| *machine == day.machine && *when <= evening);
        ends.push(End {
            height: pair.height,
            rebound: pair.rebound,
            rear: *rear,
            link: pair.link.clone(),
            mass: masses[day.rider],
            rebuild: known.max_by_key(|(_, when, _)| *when).map(|(_, _, note)| note.clone()),
            previous: pair.last.replace(index),
        });
    }
    ends
}

fn ride(day: &Day, pair: &mut Pair, rear: &mut i32, mass: &mut Option<i32>) {
    // The machine's plan has a sprocket; one of the day's own has not.
    let mut plan = (15, Some(52));
    for act in &day.acts {
        match act {
            Act::Height(height) => pair.height = Some(*height),
            Act::Raise(by) => {
                pair.undo.push(vec![Old::Height(pair.height)]);
                // No tube is held below flush, or reaches further than its clamps let it.
                pair.height =
                    pair.height.map(|height| height + by).filter(|height| (0..=50).contains(height));
            }
            Act::Click(by) => {
                pair.undo.push(vec![Old::Rebound(pair.rebound)]);
                // A clicker cannot go past closed: its position after that is unknown.
                pair.rebound = pair.rebound.map(|clicks| clicks + by).filter(|clicks| *clicks >= 0);
            }
            Act::RearAndHeight(teeth, height) => {
                pair.undo.push(vec![Old::Rear(*rear), Old::Height(pair.height)]);
                (*rear, pair.height) = (*teeth, Some(*height));
            }
            Act::Link => {
                pair.undo.push(vec![Old::Link(pair.link.clone())]);
                pair.link = Some("high".to_owned());
            }
            Act::Plan(clicks) => plan = (*clicks, None),
            Act::UseByChange | Act::UseBySettings => {
                let mut old = vec![Old::Rebound(pair.rebound)];
                pair.rebound = Some(plan.0);
                if let Some(teeth) = plan.1 {
                    old.push(Old::Rear(*rear));
                    *rear = teeth;
                }
                if matches!(act, Act::UseByChange) {
                    pair.undo.push(old);
                }
            }
            Act::Back => {
                for old in pair.undo.pop().unwrap_or_default() {
                    match old {
                        Old::Height(height) => pair.height = height,
                        Old::Rebound(rebound) => pair.rebound = rebound,
                        Old::Rear(teeth) => *rear = teeth,
                        Old::Link(link) => pair.link = link,
                    }
                }
            }
            Act::Rebuild(_) => {}
            Act::Mass(new) => *mass = Some(*new),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn days_inserted_removed_and_dated_anew_replay_as_the_model_does(
        edits in prop::collection::vec(edit(), 1..14),
    ) {
        let days = edited(&edits);
        let store = store(&days);
        let replayed_here = replayed(&store);
        prop_assert_eq!(&replayed_here, &model(&days));
        prop_assert_eq!(&replayed(&Backwards(&store)), &replayed_here);
    }
}
