//! The rate of a bare coil spring, from its wire, its diameter and its turns: without a book or a machine.

use std::fmt::Write;
use std::sync::Arc;

use serde::Serialize;

use crate::book::Book;
use crate::figures::tape::Tape;
use crate::figures::{Bench, Here};
use crate::finding::{Finding, Severity};
use crate::quantity::Units;
use crate::season::State;
use crate::session::{Compiled, Session};
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::blocks::{CHROME_SILICON, Coil, MUSIC_WIRE};
use crate::vocabulary::{End, Typed};

use super::super::ForReader;
use super::super::say::Say;
use super::super::starters::quoted;
use super::super::told::Told;
use super::{SCHEMA, against_label};

/// How a spring can hurt somebody, and what its rate leaves open. Common practice, no source.
fn cautions() -> [Message; 3] {
    [
        say!(
            "A fitted spring is under load: the preload goes off and a proper compressor on before it comes off; a fork's or damper's gas and air are for those trained for it."
        ),
        say!(
            "The rate grows with the fourth power of the wire and falls with the third power of the diameter: a tenth of a millimetre too much on 12 mm of wire is 3 % too stiff. Measure without paint, at several places."
        ),
        say!(
            "Coils that lie on each other or on their seats do not move and do not count. It holds for one wire, wound evenly; not for a spring that is progressive."
        ),
    ]
}

/// The path of the notebook that the coil is written into; nobody sees it as a file.
const NOTEBOOK: &str = "coil.md";

/// A coil's measurements, as they were typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    pub wire: String,
    pub diameter: Diameter,
    pub active_coils: f64,
    /// `None` where it is unknown: then all materials.
    pub material: Option<String>,
    /// The rate on its label.
    pub label: Option<String>,
}

/// A coil's diameter, and where it was measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Diameter {
    Outside(String),
    /// From middle to middle of the wire.
    Mean(String),
}

/// The rates of a bare coil.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bare {
    pub schema: u32,
    pub rates: Vec<BareRate>,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    pub formula: String,
    pub source: String,
    pub assumed: Vec<String>,
    pub cautions: [String; 3],
}

impl ForReader for Bare {
    fn tongue(&self) -> &Tongue {
        &self.tongue
    }
}

/// The rate in one material.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BareRate {
    pub material: String,
    pub rate: Told,
    /// Compared with the label, where it has one.
    pub verdict: Option<String>,
}

/// The rate of a coil, in a language.
///
/// # Errors
///
/// What is wrong with what was typed, with the book that it was put into.
pub fn bare(coil: &Measured, tongue: &Tongue) -> Result<Bare, (Arc<Book>, Vec<Finding>)> {
    let materials = match &coil.material {
        Some(material) => vec![material.as_str()],
        None => vec![MUSIC_WIRE, CHROME_SILICON],
    };
    let mut page = Bare {
        schema: SCHEMA,
        rates: Vec::new(),
        tongue: tongue.clone(),
        formula: String::new(),
        source: String::new(),
        assumed: Vec::new(),
        cautions: cautions().map(|caution| tongue.say(&caution)),
    };
    for material in materials {
        page.add(coil, material)?;
    }
    Ok(page)
}

impl Bare {
    /// Asks a book with only the coil in it, so that what was typed is read as in a notebook.
    fn add(&mut self, coil: &Measured, material: &str) -> Result<(), (Arc<Book>, Vec<Finding>)> {
        let mut session = Session::new();
        session.edit(NOTEBOOK, notebook(coil, material));
        let Compiled { book, season, mut findings, .. } = session.replay();
        findings.retain(|finding| finding.severity == Severity::Error);
        if !findings.is_empty() {
            return Err((book, findings));
        }
        let Some(machine) = book.machines.values().next() else { return Ok(()) };
        let Some(block) = machine.last::<Coil>() else { return Ok(()) };
        let (mut units, tape, state) = (Units::default(), Tape::new(), State::default());
        units.speak(self.tongue.clone());
        let bench = Bench::new(Here::of_machine(&book, &season, machine, &state), &tape);
        let figure = bench.coil_rate(block);
        (self.formula, self.source) = (units.word(figure.formula.text), units.word(figure.formula.source));
        self.assumed = figure.assumed.iter().map(|assumed| units.say(assumed)).collect();
        self.rates.push(BareRate {
            material: units.say(&material_said(material)),
            verdict: against_label(
                Say::new(&units),
                &figure,
                block.label.as_ref().map(|label| label.value()),
            ),
            rate: Told::of(Say::new(&units), &figure),
        });
        Ok(())
    }
}

/// A material in a reader's words; an unknown one as it was typed.
fn material_said(material: &str) -> Message {
    match material {
        MUSIC_WIRE => say!("music wire"),
        CHROME_SILICON => say!("chrome-silicon"),
        other => Message::text(other),
    }
}

fn notebook(coil: &Measured, material: &str) -> String {
    let (key, diameter) = match &coil.diameter {
        Diameter::Outside(outside) => (Coil::outside, outside),
        Diameter::Mean(mean) => (Coil::mean, mean),
    };
    let mut text = format!("+++\nkind = \"machine\"\n+++\n\n```{} {}\n", Coil::SPEC.word, End::Rear.word());
    for (key, value) in [(Coil::wire, &coil.wire), (key, diameter), (Coil::material, &material.to_owned())] {
        let _ = writeln!(text, "{key} = {}", quoted(value));
    }
    let _ = writeln!(text, "{} = {}", Coil::active_coils, coil.active_coils);
    if let Some(label) = &coil.label {
        let _ = writeln!(text, "{} = {}", Coil::label, quoted(label));
    }
    text + "```\n"
}
