//! From names to the notebooks and instruments that they mean.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::finding::{Finding, closest, listed, meant};
use crate::notebook::Mention;
use crate::source::{Span, limits};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Chamber, Link, STANDARD_LINK};
use crate::vocabulary::values::{Assigned, Assignment, Written};
use crate::vocabulary::{self, AnyBlock, Named, NotebookKind, Setting, is_reserved_chamber};

use super::{Book, Day, Notebook, codes};

/// How many machines a rider's settings may be for are offered.
const MOST_OFFERED: usize = 3;

/// What a mention in prose asks for: a name, and the day if it is another one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked<'m> {
    pub name: &'m str,
    /// A date, or the name of a day's notebook.
    pub day: Option<&'m str>,
}

/// Takes `sag.rear.rider on 2026-04-11` apart.
pub fn asked(mention: &Mention) -> Asked<'_> {
    match mention.name.split_once(" on ") {
        Some((name, day)) => Asked { name: name.trim(), day: Some(day.trim()) },
        None => Asked { name: mention.name.trim(), day: None },
    }
}

/// Finds the notebook that a link in a head means, among those of a kind.
pub(super) fn resolve(
    kind: NotebookKind,
    link: Option<&Written>,
    among: &BTreeMap<String, Arc<Notebook>>,
    day: &Notebook,
    findings: &mut Vec<Finding>,
) -> Option<String> {
    let Some(link) = link else {
        let help = say!("add `{word} = \"NAME\"` to the head", word = kind.word());
        let place = day.head.header.fence;
        findings.push(Finding::new(&codes::NO_LINK, place, does_not_say_which(kind)).help(help));
        return None;
    };
    let found = not_among(kind, link, among);
    findings.extend(found.as_ref().err().cloned());
    found.ok()
}

/// A link's name, or the finding that no notebook has it.
fn not_among(
    kind: NotebookKind,
    link: &Written,
    among: &BTreeMap<String, Arc<Notebook>>,
) -> Result<String, Finding> {
    if among.contains_key(&link.text) {
        return Ok(link.text.clone());
    }
    // People call it by its printed name.
    let is_called =
        |notebook: &&Arc<Notebook>| notebook.title.to_lowercase() == link.text.trim().to_lowercase();
    if let Some(called) = among.values().find(is_called) {
        let name = &called.name;
        let (title, word) = (&link.text, kind.word());
        let headline = match kind {
            NotebookKind::Machine => {
                say!("`{title}` is the printed name of the machine `{name}`", title, name)
            }
            NotebookKind::Rider => say!("`{title}` is the printed name of the rider `{name}`", title, name),
            NotebookKind::Track => say!("`{title}` is the printed name of the track `{name}`", title, name),
            NotebookKind::Day => say!("`{title}` is the printed name of the day `{name}`", title, name),
        };
        return Err(Finding::new(&codes::UNKNOWN_LINK, link.span, headline).fix(
            say!("write `{word} = \"{name}\"`", word, name),
            link.span,
            format!("\"{name}\""),
        ));
    }
    let known = among.keys().map(String::as_str);
    let name = &link.text;
    let (headline, none) = match kind {
        NotebookKind::Machine => (
            say!("there is no machine `{name}` in the book", name),
            say!("the book has no machine yet: `loambook new machine NAME` starts one"),
        ),
        NotebookKind::Rider => (
            say!("there is no rider `{name}` in the book", name),
            say!("the book has no rider yet: `loambook new rider NAME` starts one"),
        ),
        NotebookKind::Track => (
            say!("there is no track `{name}` in the book", name),
            say!("the book has no track yet: `loambook new track NAME` starts one"),
        ),
        NotebookKind::Day => (say!("there is no day `{name}` in the book", name), no_day()),
    };
    Err(unknown(headline, link, known, none))
}

fn does_not_say_which(kind: NotebookKind) -> Message {
    match kind {
        NotebookKind::Machine => say!("the day does not say which machine"),
        NotebookKind::Rider => say!("the day does not say which rider"),
        NotebookKind::Track => say!("the day does not say which track"),
        NotebookKind::Day => say!("the day does not say which day"),
    }
}

fn no_day() -> Message {
    say!("the book has no day yet: `loambook new day NAME` starts one")
}

fn unknown<'a>(
    headline: Message,
    link: &Written,
    known: impl Iterator<Item = &'a str> + Clone,
    none: Message,
) -> Finding {
    let near = meant(&link.text, known.clone());
    let mut finding = Finding::new(&codes::UNKNOWN_LINK, link.span, headline);
    if near.is_empty() {
        let all = listed(known);
        finding =
            if all.is_empty() { finding.help(none) } else { finding.help(say!("the book has {all}", all)) };
    }
    for name in near {
        finding = finding.fix(say!("did you mean `{name}`?", name), link.span, format!("\"{name}\""));
    }
    finding
}

/// Checks the names inside one notebook: instruments, chambers, mentions.
pub(super) fn check(book: &Book, notebook: &Notebook, day: Option<&Day>, findings: &mut Vec<Finding>) {
    let machine = match day {
        Some(day) => book.machine(day),
        None => Some(notebook).filter(|notebook| notebook.chambers().next().is_some()),
    };
    findings.extend(too_many_chambers(notebook));
    // Beyond this many findings no more are shown, and near names are not searched for.
    let before = findings.len();
    let is_told = |findings: &[Finding]| findings.len() < before + limits::FILE_FINDINGS;
    for block in &notebook.blocks {
        for named in instruments(block) {
            let is_told = is_told(findings);
            findings.extend(instrument(book, named, is_told));
        }
        if let Some(machine) = machine {
            chambers(machine, block, findings);
        }
        // A rider's `settings` are named by a machine, all others by a plan.
        let of_machine = match block {
            AnyBlock::Settings(block) if notebook.is(NotebookKind::Rider) => block.header.argument.as_ref(),
            _ => None,
        };
        findings.extend(of_machine.and_then(|named| machine_of_settings(book, named)));
        if let AnyBlock::Settings(block) = block
            && notebook.is(NotebookKind::Rider)
            && of_machine.is_none()
        {
            findings.push(of_no_machine(book, block.header.fence));
        }
        let machine = match (of_machine, notebook.kind) {
            (Some(named), _) => book.machines.get(&named.text).map(|machine| &**machine),
            (None, NotebookKind::Machine) => Some(notebook),
            (None, _) => machine,
        };
        findings.extend(machine.into_iter().flat_map(|machine| linkages(machine, block)));
    }
    for mention in &notebook.document.mentions {
        let is_told = is_told(findings);
        check_mention(book, day, mention, is_told, findings);
    }
}

/// Checks the names under `defaults` in `book.toml`: an unknown name there would otherwise have no effect, without
/// a word.
pub(super) fn check_defaults(book: &Book, findings: &mut Vec<Finding>) {
    let about = &book.about;
    let named = [&about.tape, &about.gauge, &about.scale, &about.thermometer];
    let named = named.into_iter().chain([&about.barometer, &about.hygrometer, &about.altimeter]);
    findings.extend(named.flatten().filter_map(|named| instrument(book, named, true)));
    // Days that name none take these; where one does, it has the finding already.
    let is_told = |named: &Written, findings: &[Finding]| findings.iter().any(|it| it.span == named.span);
    for (kind, named) in [(NotebookKind::Machine, &about.machine), (NotebookKind::Rider, &about.rider)] {
        if let Some(named) = named.as_ref().filter(|named| !is_told(named, findings)) {
            findings.extend(standing(book, kind, named));
        }
    }
}

/// An instrument that is not in `book.toml`.
fn instrument(book: &Book, named: &Written, is_told: bool) -> Option<Finding> {
    if book.instrument(&named.text).is_some() {
        return None;
    }
    let known = book.about.instruments.keys().map(String::as_str).take(if is_told { usize::MAX } else { 0 });
    let headline = say!("there is no instrument `{name}` in `book.toml`", name = named.text);
    let mut finding = unknown(headline, named, known, Message::default());
    if book.about.instruments.is_empty() {
        finding.remedies.clear();
        finding = finding.help(say!(
            "add `[instrument.{instrument}]` to `book.toml`, with `resolution = \"1 mm\"` or what it has",
            instrument = named.text
        ));
    }
    Some(finding)
}

/// A machine or rider that is not in the book.
fn standing(book: &Book, kind: NotebookKind, named: &Written) -> Option<Finding> {
    let among = match kind {
        NotebookKind::Machine => &book.machines,
        NotebookKind::Rider => &book.riders,
        NotebookKind::Track | NotebookKind::Day => return None,
    };
    not_among(kind, named, among).err()
}

/// A rider's settings for a machine that is not in the book: nothing would ever take them.
fn machine_of_settings(book: &Book, named: &Written) -> Option<Finding> {
    if book.machines.contains_key(&named.text) {
        return None;
    }
    let headline = say!("there is no machine `{name}` in the book", name = named.text);
    let known = book.machines.keys().map(String::as_str);
    let near = meant(&named.text, known.clone());
    let all = listed(known);
    let mut finding = Finding::new(&codes::UNKNOWN_LINK, named.span, headline);
    if near.is_empty() && !all.is_empty() {
        finding = finding.help(say!("the book has {all}", all));
    }
    for name in near {
        // The word of a fence has no quotes.
        finding = finding.fix(say!("did you mean `{name}`?", name), named.span, name);
    }
    Some(finding)
}

/// A rider's settings that name no machine would have no effect, without a word.
fn of_no_machine(book: &Book, fence: Span) -> Finding {
    let headline = say!("a rider's `settings` name no machine, and have no effect");
    let finding = Finding::new(&vocabulary::codes::ARGUMENT, fence, headline);
    let mut names = book.machines.keys().take(MOST_OFFERED).peekable();
    match names.peek() {
        None => finding.help(say!("write `settings NAME`, with the machine's name")),
        Some(_) => names.fold(finding, |finding, name| finding.help(say!("write `settings {name}`", name))),
    }
}

/// Linkages that the machine does not have: figures would take its own.
fn linkages<'a>(machine: &'a Notebook, block: &'a AnyBlock) -> impl Iterator<Item = Finding> + 'a {
    let assigned = assignments(block).iter().filter(|it| it.name == Setting::SHOCK_LINK);
    assigned.filter_map(|it| {
        let Assigned::Word(name) = &it.value else { return None };
        if name == STANDARD_LINK || machine.link(name).is_some() {
            return None;
        }
        let known = machine.all::<Link>().map(|link| link.header.argument());
        let known: Vec<&str> = known.chain([STANDARD_LINK]).collect();
        let headline = say!("the shock has no link `{name}`", name);
        Some(Finding::new(&codes::UNKNOWN_LINK, it.span, headline).one_of(name, &known))
    })
}

fn instruments(block: &AnyBlock) -> Vec<&Written> {
    match block {
        AnyBlock::Sag(sag) => sag.tape.iter().collect(),
        AnyBlock::Pressures(block) => {
            [&block.gauge, &block.thermometer, &block.altimeter].into_iter().flatten().collect()
        }
        AnyBlock::Conditions(block) => {
            let named = [&block.thermometer, &block.barometer, &block.hygrometer, &block.altimeter];
            named.into_iter().flatten().collect()
        }
        AnyBlock::Scales(scales) => scales.scale.iter().collect(),
        _ => Vec::new(),
    }
}

/// The settings that a block assigns.
fn assignments(block: &AnyBlock) -> &[Assignment] {
    match block {
        AnyBlock::Settings(block) => &block.others.settings,
        AnyBlock::Change(block) => &block.others.settings,
        _ => &[],
    }
}

/// Reports chambers that the machine does not have.
fn chambers(machine: &Notebook, block: &AnyBlock, findings: &mut Vec<Finding>) {
    let mut report = |name: Named, span| {
        let setting = name.setting();
        let Some(open) = setting.and_then(|name| Setting::CHAMBER.word_of(name)) else { return };
        if machine.chamber(open).is_some() {
            return;
        }
        let mut known: Vec<&str> = machine.chambers().map(|(name, _)| name).collect();
        known.dedup();
        let mut finding =
            Finding::new(&codes::UNKNOWN_CHAMBER, span, say!("the fork has no chamber `{open}`", open));
        for near in closest(open, known.iter().copied()) {
            finding = finding.help(say!("did you mean `{near}`?", near));
        }
        if finding.remedies.is_empty() {
            finding = finding.help(if known.is_empty() {
                say!("`{path}` has no `chamber` blocks", path = machine.path)
            } else {
                say!("it has {known}", known = listed(known))
            });
        }
        findings.push(finding);
    };
    for assignment in assignments(block) {
        report(assignment.name.into(), assignment.name_span);
    }
    match block {
        AnyBlock::Pressures(pressures) => {
            let others = &pressures.others;
            for reading in others.pressures.iter().chain(&others.found).chain(&others.after_ride) {
                report(reading.name.into(), reading.name_span);
            }
        }
        AnyBlock::BandBlock(band) => {
            band.others.bands.iter().for_each(|band| report(band.name, band.name_span))
        }
        AnyBlock::Limits(limits) => {
            limits.others.limits.iter().for_each(|limit| report(limit.name, limit.name_span))
        }
        AnyBlock::Chamber(chamber) => {
            if let Some(from) = &chamber.charged_from {
                report(Setting::CHAMBER.named(&from.text).into(), from.span);
                findings.extend(filled_in_turn(machine, chamber, from));
            }
            findings.extend(reserved(chamber));
        }
        _ => {}
    }
}

/// More chambers than a fork may have; those beyond the limit are left out.
fn too_many_chambers(notebook: &Notebook) -> Option<Finding> {
    let first = notebook.all::<Chamber>().nth(limits::CHAMBERS)?;
    let (found, most) = (notebook.all::<Chamber>().count(), limits::CHAMBERS);
    let headline = say!("the fork has {found} chambers, and {most} is the most", found, most);
    Some(
        Finding::new(&codes::TOO_MANY_CHAMBERS, first.header.fence, headline)
            .found(say!("this one and those after it are left out"))
            .help(say!("describe the chambers that the fork has, each once")),
    )
}

/// A chamber filled from itself, or from one that is itself filled from another.
fn filled_in_turn(machine: &Notebook, chamber: &Chamber, from: &Written) -> Option<Finding> {
    let own = chamber.header.argument();
    let finding = if from.text == own {
        Finding::new(&codes::FILLED_IN_TURN, from.span, say!("`{own}` cannot be filled from itself", own))
    } else {
        let first = machine.chamber(&from.text)?.charged_from.as_ref()?;
        let headline = say!(
            "`{from}`, which would fill `{own}`, is itself filled from `{first}`",
            from = from.text,
            own,
            first = first.text
        );
        Finding::new(&codes::FILLED_IN_TURN, from.span, headline).see(first.span, say!("filled from there"))
    };
    Some(finding.help(say!("name the chamber that is filled by hand")))
}

/// A chamber whose name means something else in `pressures`.
fn reserved(chamber: &Chamber) -> Option<Finding> {
    let argument = chamber.header.argument.as_ref().filter(|name| is_reserved_chamber(&name.text))?;
    let headline = say!("a chamber cannot be called `{argument}`", argument = argument.text);
    Some(
        Finding::new(&codes::RESERVED_CHAMBER, argument.span, headline)
            .found(say!("in `pressures` it means something else"))
            .help(say!("give it another name")),
    )
}

fn check_mention(
    book: &Book,
    day: Option<&Day>,
    mention: &Mention,
    is_told: bool,
    findings: &mut Vec<Finding>,
) {
    let asked = asked(mention);
    if vocabulary::lookup(asked.name).is_none() {
        let headline = say!("there is no figure, reading or setting `{asked}`", asked = asked.name);
        let mut finding = Finding::new(&codes::UNKNOWN_MENTION, mention.span, headline);
        let names = if is_told { vocabulary::every_name() } else { &[] };
        for near in closest(asked.name, names.iter().map(String::as_str)) {
            finding = finding.fix(say!("did you mean `@{near}`?", near), mention.span, near);
        }
        if finding.remedies.is_empty() {
            finding = finding.help(say!("`loambook words figures` lists them all"));
        }
        findings.push(finding);
    }
    if let Some(other) = asked.day
        && book.other_day(day, other).is_none()
    {
        let link = Written { text: other.to_owned(), span: mention.span };
        let known = book.days.iter().map(|day| day.notebook.name.as_str());
        let known = known.take(if is_told { usize::MAX } else { 0 });
        let mut finding = unknown(
            say!("there is no day `{other}` for this machine and rider", other),
            &link,
            known,
            no_day(),
        );
        // The span is the whole mention, so a bare name would be a wrong edit.
        finding.remedies.iter_mut().for_each(|remedy| remedy.edit = None);
        findings.push(finding);
    }
}

impl Book {
    /// The day that a mention means: by its notebook's name, or by its date with the same machine and rider.
    pub fn other_day(&self, day: Option<&Day>, asked: &str) -> Option<&Day> {
        let same =
            |other: &&Day| day.is_none_or(|day| other.machine == day.machine && other.rider == day.rider);
        self.days.iter().find(|other| other.notebook.name == asked).or_else(|| {
            self.days.iter().filter(same).find(|other| other.is_dated && other.date.to_string() == asked)
        })
    }
}
