//! The page's own words, by the names in its script and its frame.
//!
//! A part that only the page knows (the typed text, the lap) keeps its placeholder, and the script fills it.

use crate::advice::{Advice, Complaint, place_said};
use crate::speech::{Message, say};

use super::super::sheet::cautions::Caution;

/// A word of notebooks, with a reader's word for it.
type Choices = Vec<(String, Message)>;

/// All of the page's words.
pub fn words(advice: &Advice) -> Vec<(&'static str, Message)> {
    let mut words = frame();
    words.extend(forms());
    words.extend(fields());
    words.extend(answers());
    words.extend(of_hurt(advice));
    words.extend(cautions());
    words
}

/// The words on the page before anything is entered.
fn frame() -> Vec<(&'static str, Message)> {
    vec![
        ("hurt", say!("Hurt / crashed")),
        ("rider", say!("Rider")),
        ("date", say!("Date")),
        ("track", say!("Track")),
        (
            "unkept",
            say!(
                "This telephone keeps nothing for this page. Copy the text under “{text}” before you close it.",
                text = say!("Text"),
            ),
        ),
        ("sheet", say!("Sheet")),
        ("write", say!("Write")),
        ("text", say!("Text")),
        (
            "unchecked",
            say!(
                "Figures and checks do not run here. What is entered is checked when it is taken into the book."
            ),
        ),
        ("whole", say!("The day, as its notebook has it")),
        ("send", say!("Send it home. There, {command} files it.", command = "loambook take")),
        ("copy", say!("Copy the text")),
        ("share", say!("Share the text")),
        ("parts", say!("Parts of the page")),
        ("noscript", say!("This page needs its own script to write down a day. It fetches nothing.")),
        ("sheet_of", say!("Sheet of {rider} on {machine}", rider = "{rider}", machine = "{machine}")),
        (
            "other_day",
            say!(
                "This is the page of {date}; the telephone says {today}.",
                date = "{date}",
                today = "{today}",
            ),
        ),
    ]
}

/// The forms, and their buttons.
fn forms() -> Vec<(&'static str, Message)> {
    vec![
        ("air", say!("Air")),
        ("sag", say!("Sag")),
        ("pressures", say!("Pressures")),
        ("change", say!("Change")),
        ("stint", say!("Stint")),
        ("note", say!("Note")),
        ("enter", say!("Enter it")),
        ("all_entered", say!("Entered")),
        ("take_out", say!("Take out")),
        ("take_out_entry", say!("Take out entry {number}, {what}", number = "{number}", what = "{what}")),
        ("take_out_lap", say!("Take out lap {number}, {time}", number = "{number}", time = "{time}")),
        ("take_out_what", say!("Take out {what}", what = "{what}")),
        ("lap", say!("Lap")),
        ("stop", say!("Stop")),
        ("stop_no_lap", say!("Stop, no lap")),
        ("start_watch", say!("Start the watch")),
        ("add_laps", say!("Add laps")),
        ("add_this", say!("Add this")),
        ("write_down", say!("Write it down")),
        ("close", say!("Back")),
    ]
}

/// The questions of the forms, and the choices.
fn fields() -> Vec<(&'static str, Message)> {
    vec![
        ("air_at_track", say!("Air at the track")),
        ("air_at_bench", say!("Where it is pumped")),
        ("air_pressure", say!("Air pressure at the station")),
        ("ground", say!("Ground")),
        ("traction", say!("Traction")),
        ("low", say!("low" in "traction")),
        ("medium", say!("medium" in "traction")),
        ("high", say!("high" in "traction")),
        ("end", say!("End")),
        ("front", say!("front" in "end")),
        ("rear", say!("rear" in "end")),
        ("tape", say!("Tape")),
        ("hanging", say!("Hanging, wheel off the ground")),
        ("alone", say!("On its wheels, nobody aboard")),
        ("aboard", say!("Rider aboard, on the pegs")),
        ("after_push", say!("… after a push down")),
        ("after_lift", say!("… after a lift")),
        ("reading", say!("{label}, reading {number}", label = "{label}", number = "{number}")),
        ("gauge", say!("Gauge")),
        ("as_found", say!("{label}, as found", label = "{label}")),
        ("as_left", say!("{label}, as left", label = "{label}")),
        ("of_leg", say!("Temperature of the leg, after standing in the shade")),
        ("setting", say!("Setting, and what it is now")),
        ("which_way", say!("Which way")),
        ("to", say!("to a value")),
        ("back", say!("take the last change back")),
        ("new_value", say!("New value")),
        ("how_far", say!("How far")),
        ("because", say!("Why")),
        ("which", say!("Which")),
        ("practice", say!("practice")),
        ("qualifying", say!("qualifying")),
        ("race", say!("race")),
        ("laps", say!("Laps")),
        ("others_laps", say!("Laps from somebody else’s watch")),
        ("felt", say!("What it felt like")),
        ("complaint", say!("What it does")),
        ("place", say!("Where")),
        ("strength", say!("How strong")),
        ("weakest", say!("1, hardly")),
        ("strongest", say!("5, cannot ride it")),
        ("verdict", say!("Against the stint before")),
        ("better", say!("better")),
        ("same", say!("same")),
        ("worse", say!("worse")),
        ("used_front", say!("Travel used, front")),
        ("used_rear", say!("Travel used, rear")),
        ("note_on_stint", say!("Note on the stint")),
        ("own_words", say!("A note, in your own words")),
    ]
}

/// The page's answers to typing and pressing.
fn answers() -> Vec<(&'static str, Message)> {
    vec![
        ("no_number", say!("“{typed}” is no number", typed = "{typed}")),
        (
            "no_lap",
            say!(
                "“{typed}” is no lap: {one}, or {other}",
                typed = "{typed}",
                one = Message::number("2:04.1"),
                other = Message::number("124.1"),
            ),
        ),
        ("say_how_far", say!("say how far, or to what")),
        ("no_step", say!("a step is more than nothing")),
        ("nothing", say!("nothing is entered yet")),
        ("say_what", say!("Say first what it does.")),
        ("not_entered", say!("Not entered: {why}.", why = "{why}")),
        ("is_entered", say!("Entered: {what}.", what = "{what}")),
        ("is_out", say!("Taken out.")),
        ("to_look_at", say!("To look at")),
        ("makes", say!("What it makes")),
        ("turned_in", say!("{turns} in, for more preload", turns = "{turns}")),
        ("turned_out", say!("{turns} out, for less preload", turns = "{turns}")),
        ("severity_error", say!("error")),
        ("severity_warning", say!("warning")),
        ("severity_note", say!("note" in "severity")),
        ("copied", say!("Copied.")),
        ("marked", say!("The text is marked: hold it, and copy it.")),
        ("shared", say!("Shared.")),
        ("not_shared", say!("Not shared: copy the text instead.")),
    ]
}

/// What to do when somebody is hurt or has crashed, in the words of the advice.
fn of_hurt(advice: &Advice) -> Vec<(&'static str, Message)> {
    let injury = advice.injury();
    let told = |words: &str| Message::word(words.to_owned());
    vec![
        ("stop_riding", told(&injury.say)),
        ("help_first", say!("Stop riding. Help first, the notebook later.")),
        ("after_crash", say!("After every crash {ask}.", ask = told(&injury.ask))),
        (
            "until_cleared",
            say!(
                "Nobody rides on until a qualified person says so; the book then says “{others}” until it is written who cleared the rider.",
                others = told(&injury.others),
            ),
        ),
        ("then_machine", say!("Only then the machine: {look_over}.", look_over = told(&injury.look_over))),
        ("was_crash", say!("There was a crash or a fall")),
        ("was_sign", say!("There is a sign of an injury")),
        ("what_happened", say!("What happened, and what was seen")),
    ]
}

/// What to read before filling in a form, and behind what is worked out.
fn cautions() -> Vec<(&'static str, Message)> {
    let change = [Caution::Preload, Caution::AfterAChange].map(Caution::told);
    vec![
        ("caution_pressures", Caution::Air.told()),
        ("caution_sag", Caution::Stand.told()),
        ("caution_change", Message::joined(change, " ")),
        ("caution_figures", Caution::Always.told()),
    ]
}

/// The complaints that a rider can pick.
pub fn complaints(advice: &Advice) -> Choices {
    let mut choices: Choices = Vec::new();
    let told = |complaint: &Complaint| match complaint.say.is_empty() {
        true => Message::text(complaint.word()),
        false => Message::word(complaint.say.clone()),
    };
    for complaint in &advice.practice().complaints {
        // One word can have an entry for each place.
        if !choices.iter().any(|(known, _)| known == complaint.word()) {
            choices.push((complaint.word().to_owned(), told(complaint)));
        }
    }
    choices
}

/// The places on the track that a rider can pick.
pub fn places(advice: &Advice) -> Choices {
    advice.sayings().places.iter().map(|place| (place.clone(), place_said(place))).collect()
}
