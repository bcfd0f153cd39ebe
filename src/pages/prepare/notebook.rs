//! The notebook of a day that is prepared.

use jiff::civil::Date;

use crate::book::{Notebook, document};
use crate::quantity::{Units, show};
use crate::season::HeldValue;
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::Typed as _;
use crate::vocabulary::blocks::Conditions;

use super::super::say::Say;
use super::super::starters::quoted;
use super::{Plan, words};

const NOTEBOOK: &str = include_str!("../../../templates/new/prepared.md");

/// The day ahead: names of notebooks in the book, and the forecast.
#[derive(Debug, Clone)]
pub struct Ahead<'a> {
    pub date: Date,
    pub machine: &'a str,
    pub rider: &'a str,
    /// `None` where it is unknown.
    pub track: Option<&'a str>,
    /// Its place in the order of riding, where several ride.
    pub order: Option<usize>,
    /// Keys of `conditions`, with what was typed for each.
    pub forecast: Vec<(&'static str, String)>,
}

/// The keys of `conditions` that can be known in advance: the forecast, and the bench.
pub const FORECAST_KEYS: [&str; 10] = [
    Conditions::air,
    Conditions::humidity,
    Conditions::pressure,
    Conditions::sea_level_pressure,
    Conditions::elevation,
    Conditions::soil,
    Conditions::surface,
    Conditions::traction,
    Conditions::bench,
    Conditions::bench_elevation,
];

/// The notebook with what is known at first: what the day is about, and the forecast. It is not kept: the plan's words
/// replace its own.
pub fn draft(ahead: &Ahead<'_>) -> String {
    filled(ahead, &Tongue::ENGLISH, "Prepared from what is on file.", [""; 3])
}

/// The text of a day's notebook with a forecast added, for what it does not say itself.
///
/// # Errors
///
/// The first key that the notebook already has.
pub fn with_forecast(
    notebook: &Notebook,
    text: &str,
    forecast: &[(&'static str, String)],
) -> Result<String, &'static str> {
    let document = document(notebook.document.file, text);
    let mut blocks = document.blocks.iter().filter(|block| block.word == Conditions::SPEC.word);
    // Both are the air's pressure.
    let one =
        |key: &str| if key == Conditions::sea_level_pressure { Conditions::pressure } else { key }.to_owned();
    let is_said = |key: &str| {
        let mut entries = blocks.clone().flat_map(|block| &block.body.entries);
        entries.any(|entry| one(&entry.key) == one(key))
    };
    if let Some((key, _)) = forecast.iter().find(|(key, _)| is_said(key)) {
        return Err(key);
    }
    let lines: String = forecast.iter().map(|(key, value)| format!("{key} = {}\n", quoted(value))).collect();
    let into = blocks.next_back().and_then(|block| text.split_at_checked(block.fence.end as usize));
    Ok(match into {
        Some((before, after)) => format!("{before}\n{}{after}", lines.trim_end()),
        None => format!("{text}\n\n```{}\n{lines}```\n", Conditions::SPEC.word),
    })
}

/// The notebook with settings, pressures and what is due.
pub(super) fn whole(ahead: &Ahead<'_>, plan: &Plan) -> String {
    let lines: String = plan
        .changes
        .iter()
        .map(|(name, value)| format!("{name} = {}\n", quoted(&as_written(value))))
        .collect();
    let said = |message: Message| plan.tongue.say(&message);
    let heading = prose(&said(say!("Settings, {from}", from = words::settings_from(plan))));
    let settings = if lines.is_empty() {
        let so = said(match plan.changeover {
            Some(_) => say!("They are carried so."),
            None => say!("The machine is set so already."),
        });
        format!("\n## {heading}\n\n{so}\n")
    } else {
        let because = quoted(&said(words::because(plan)));
        format!("\n## {heading}\n\n```change\n{lines}because = {because}\n```\n")
    };
    let list = |title: Message, lines: Vec<String>| {
        let title = prose(&said(title));
        let items: String = lines.iter().map(|line| format!("- {}\n", prose(line))).collect();
        if items.is_empty() { String::new() } else { format!("\n## {title}\n\n{items}") }
    };
    let all = |lines: Vec<Message>| lines.into_iter().map(said).collect::<Vec<_>>();
    let by_hand = plan.changeover.as_ref();
    let by_hand = by_hand.map(|it| list(words::changeover(it), it.changes.clone())).unwrap_or_default();
    let pressures = list(say!("On the bench"), all(words::pressures(plan)));
    let jetting = list(say!("Jetting"), all(words::jet(plan).into_iter().collect()));
    let fuelling = list(say!("Fuelling"), all(words::fuelling(plan).into_iter().collect()));
    let caution = format!("\n{}\n", said(words::caution()));
    let due = list(say!("Due"), all(words::due(plan)));
    filled(
        ahead,
        &plan.tongue,
        &prose(&all(words::why(plan)).join(" ")),
        [&(settings + &by_hand), &(pressures + &jetting + &fuelling + &caution), &due],
    )
}

/// A value in the unit and digits in which it was written.
fn as_written(value: &HeldValue) -> String {
    match value {
        HeldValue::Quantity(quantity) => show(quantity, &Units::default()).to_string(),
        HeldValue::Word(word) => word.clone(),
    }
}

/// A value as pages show it.
pub(super) fn setting_text(say: Say<'_>, value: &HeldValue) -> String {
    match value {
        HeldValue::Quantity(quantity) => say.quantity(quantity).to_string(),
        HeldValue::Word(word) => word.clone(),
    }
}

/// Text that stays prose: nothing in it can open a block or be read as a figure's name.
fn prose(text: &str) -> String {
    let kept = |letter: char| match letter {
        '`' | '~' => '\'',
        '@' | '\n' | '\r' => ' ',
        other => other,
    };
    text.chars().map(kept).collect()
}

fn filled(ahead: &Ahead<'_>, tongue: &Tongue, why: &str, [settings, pressures, due]: [&str; 3]) -> String {
    let lines: String =
        ahead.forecast.iter().map(|(key, text)| format!("{key} = {}\n", quoted(text))).collect();
    let conditions = if lines.is_empty() {
        format!("{}\n", tongue.say(&say!("No forecast was given.")))
    } else {
        format!("```conditions\n{lines}```\n")
    };
    let fixed = [
        ("<title>", say!("{date}, prepared", date = ahead.date)),
        ("<as forecast>", say!("As forecast")),
        ("<before riding>", say!("Before riding")),
        ("<measure>", say!("Measure before anything is changed, and write what the gauge and the tape say:")),
        ("<at>", say!("of the legs, after standing in the shade")),
        ("<hanging>", say!("wheel off the ground")),
        ("<alone>", say!("on its wheels, no rider")),
        ("<aboard>", say!("in gear, standing")),
        ("<riding>", say!("Riding")),
    ];
    let notebook = NOTEBOOK
        .replace("<date>", &ahead.date.to_string())
        .replace("<machine>", &quoted(ahead.machine))
        .replace("<rider>", &quoted(ahead.rider))
        .replace(
            "<track>",
            &ahead.track.map(|track| format!("track = {}\n", quoted(track))).unwrap_or_default(),
        )
        .replace("<order>", &ahead.order.map(|order| format!("order = {order}\n")).unwrap_or_default());
    let notebook =
        fixed.iter().fold(notebook, |text, (place, said)| text.replace(place, &prose(&tongue.say(said))));
    notebook
        .replace("<settings>", settings)
        .replace("<pressures>", pressures)
        .replace("<due>", due)
        .replace("<conditions>", &conditions)
        .replace("<why>", why)
}
