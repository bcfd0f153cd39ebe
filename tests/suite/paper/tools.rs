//! The pages of the tools: what if, tonight, due, why, springs, gearing, figures, settings, the next change, preparation and
//! the comparison of seasons. The same laws of paper hold.

use jiff::civil::{Date, date};
use loambook::advice;
use loambook::document::compose_in;
use loambook::figures::Here;
use loambook::pages::compare::compare_seasons;
use loambook::pages::figures::{self, Extent};
use loambook::pages::next::NextPage;
use loambook::pages::prepare::{self, Ahead, Weights};
use loambook::pages::what_if::{self, Supposed, Typed};
use loambook::pages::{due, gearing, spring, state, today, why};
use loambook::session::Session;
use loambook::speech::Tongue;

use super::others::{keep_the_laws, templates};
use super::*;

/// What all of them are composed with.
struct Pile {
    templates: Templates,
    tongue: Tongue,
    all: Vec<(String, loambook::document::Document)>,
}

impl Pile {
    fn add(&mut self, name: String, template: &str, page: &impl serde::Serialize) {
        let document = compose_in(&self.tongue, template, page, &self.templates);
        let document = document.unwrap_or_else(|error| panic!("{name}: {error}"));
        self.all.push((name, document));
    }

    /// The pages of one day that need nothing but the book.
    fn add_day(&mut self, compiled: &Compiled, index: usize) {
        let Compiled { book, season, advice, .. } = compiled;
        let (day, replay) = (&book.days[index], &season.days[index]);
        let name = |page: &str| format!("{page} {}", day.notebook.name);
        if let Some(page) = gearing::gearings(book, season, index) {
            self.add(name("gearing"), "gearing.md", &page.laid());
        }
        if let Some(page) = spring::springs(book, season, index) {
            self.add(name("spring"), "spring.md", &page);
        }
        let page = figures::of_day(book, season, index).unwrap();
        for extent in [Extent::First, Extent::All] {
            self.add(name("figures"), "figures.md", &page.at_end(extent));
        }
        self.add(name("state"), "state.md", &state::of_day(book, season, index, None).unwrap());
        let units = book.units_for(day.rider.as_deref());
        for figure in ["sag.rear.rider", "geometry.trail", "gate.chamber.main", "change.geometry.rake"] {
            let here = Here::of_day(book, season, index, replay.end()).unwrap();
            let page = why::why(book, here, books::figure(figure), &units);
            self.add(name(&format!("why {figure}")), "why.md", &page);
        }
        let asking = advice::Asking { day: index, points: None, on: None, is_of_book: false };
        let next = advice::next(book, season, asking, advice).unwrap();
        let page = NextPage::new(day.notebook.path.clone(), next);
        for is_all in [false, true] {
            self.add(name("next"), "next.md", &page.laid(is_all));
        }
        let page = today::today(book, season, advice, index, day.date, false).unwrap();
        self.add(
            name("today"),
            "today.md",
            &today::tonight(&book.about.units, day.date, vec![page], &[]).laid(),
        );
    }

    /// The same day with changes that nobody has made.
    fn add_try(&mut self, session: &mut Session<'_>, now: &Compiled, index: usize, changes: &[&str]) {
        let path = &now.book.days[index].notebook.path;
        let typed: Vec<Typed> = changes.iter().map(|change| Typed::read(&[change]).unwrap()).collect();
        let mut with = Vec::new();
        for typed in &typed {
            let file = now.book.sources.find(path).unwrap();
            session.edit(path.as_str(), typed.appended_to(now.book.sources.whole(file)));
            with.push(session.replay());
            session.close(path);
        }
        let supposed: Vec<Supposed<'_>> = typed
            .iter()
            .zip(&with)
            .map(|(typed, with)| Supposed {
                book: &with.book,
                season: &with.season,
                allowed: None,
                typed,
                findings: &[],
                solved: None,
            })
            .collect();
        for complete in [false, true] {
            let page =
                what_if::what_if(&now.book, &now.season, &now.advice, index, &supposed, complete).unwrap();
            self.add(format!("try {} {path}", changes.len()), "try.md", &page);
        }
    }

    fn add_prepared(&mut self, session: &mut Session<'_>, now: &Compiled, index: usize) {
        let day = &now.book.days[index];
        let (Some(machine), Some(rider)) = (&day.machine, &day.rider) else { return };
        let forecast = vec![
            ("air", "\"31 °C\"".to_owned()),
            ("humidity", "\"35 %\"".to_owned()),
            ("pressure", "\"985 hPa\"".to_owned()),
            ("bench", "\"12 °C\"".to_owned()),
        ];
        let on = date(2027, 3, 6);
        let ahead = Ahead { date: on, machine, rider, track: day.track.as_deref(), order: None, forecast };
        let path = "days/2027-03-06-ahead.md";
        session.edit(path, prepare::draft(&ahead));
        let with = session.replay();
        let file = with.book.sources.find(path).unwrap();
        let place = with.book.day_of(file).unwrap();
        let weights = Weights::read(None).unwrap();
        let plan = prepare::plan(&with.book, &with.season, place, &weights, &with.advice).unwrap();
        self.add(format!("prepare from {}", day.notebook.name), "prepare.md", &plan.laid());
        session.close(path);
    }
}

/// Every page of the tools that a book has, by its name.
pub fn documents(store: impl Store) -> Vec<(String, loambook::document::Document)> {
    let mut session = Session::over(store).unwrap();
    let now = session.replay();
    let tongue = now.book.about.units.tongue().clone();
    let mut pile = Pile { templates: templates(), tongue, all: Vec::new() };
    for index in 0..now.book.days.len() {
        pile.add_day(&now, index);
        pile.add_try(&mut session, &now, index, &["fork.height = \"2 mm down\""]);
        let both = ["fork.height = \"2 mm down\"", "shock.rebound = \"1 click in\""];
        pile.add_try(&mut session, &now, index, &both);
        pile.add_prepared(&mut session, &now, index);
    }
    let on = now.book.days.iter().map(|day| day.date).max().unwrap();
    pile.add("due".to_owned(), "due.md", &due::due(&now.book, &now.season, on).laid());
    for (machine, notebook) in &now.book.machines {
        let page = figures::of_machine(&now.book, &now.season, notebook);
        pile.add(format!("figures {machine}"), "figures.md", &page.at_end(Extent::All));
        pile.add(format!("state {machine}"), "state.md", &state::of_machine(&now.book, machine).unwrap());
        let (is_spring, is_later) = (|on: Date| on < date(2026, 6, 1), |on: Date| on >= date(2026, 6, 1));
        let stretches: [(&str, &dyn Fn(Date) -> bool); 2] =
            [("2026-03-01..2026-05-31", &is_spring), ("2026-06-01..2026-12-31", &is_later)];
        let page = compare_seasons(&now.book, &now.season, (machine, None), stretches);
        pile.add(format!("seasons of {machine}"), "compare-seasons.md", &page);
    }
    pile.all
}

fn keeps_the_laws(store: impl Store, pages: usize) {
    let all = documents(store);
    assert!(all.len() >= pages, "{}", all.len());
    keep_the_laws(all);
}

#[test]
fn no_tool_of_the_demo_prints_over_its_paper_breaks_a_word_or_leaves_a_few_lines() {
    keeps_the_laws(demo(), 200);
}

#[test]
fn no_tool_does_for_the_fullest_book_and_for_the_emptiest() {
    keeps_the_laws(fullest(), 17);
    keeps_the_laws(emptiest(), 17);
}

#[test]
fn no_step_stands_twice_on_a_page() {
    let mut steps = 0;
    for (name, document) in documents(demo()).into_iter().filter(|(name, _)| name.starts_with("next")) {
        for block in &document.blocks {
            let loambook::document::Block::Table(table) = block else { continue };
            for (at, row) in table.rows.iter().enumerate() {
                assert!(!table.rows[..at].contains(row), "{name}: {row:?}");
                steps += 1;
            }
        }
    }
    assert!(steps > 50, "{steps}");
}
