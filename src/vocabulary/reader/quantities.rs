//! Quantities, one or several, and what is made of them.

use crate::finding::Finding;
use crate::notebook::{Node, Value};
use crate::quantity::{self, Amount, Fault, Impossible, Kind, Problem, Quantity, Unit, Units, Way};
use crate::speech::{Message, Part, say};

use super::super::codes;
use super::super::spec::{Possible, Shape, ValueSpec};
use super::super::values::{Bounds, Given, Laps, Leverage, LeverageForm, Readings, Written};
use super::{Read, Reader};

/// The endings of file names that hold tables.
const TABLES: [&str; 3] = [".csv", ".tsv", ".txt"];

impl Reader<'_> {
    #[cold]
    fn problem(&mut self, node: &Node, problem: &Problem) {
        self.report(problem.finding(|range| node.place(range)));
    }

    /// What is wrong with lap times. The remedy offers a lap, not another time such as hours ridden.
    #[cold]
    fn no_laps(&mut self, node: &Node, problem: &Problem) {
        let mut finding = problem.finding(|range| node.place(range));
        if !matches!(problem.fault, Fault::Comma { .. } | Fault::Clock { .. } | Fault::Impossible { .. }) {
            finding.remedies.clear();
            finding = finding.help(say!(
                "write the laps, such as `2:04.1 2:02.8`, or a file's path: `laps/2026-04-11.csv`"
            ));
        }
        self.report(finding);
    }

    /// Keeps a possible quantity, and reports an impossible one.
    fn possible(&mut self, given: Given, possible: Possible) -> Option<Given> {
        let value = given.value();
        if possible.allows(value) {
            if !possible.is_usual(value) {
                self.unusual(&given, possible);
            }
            return Some(given);
        }
        let reason = match possible {
            Possible::Between(low, high) => Impossible::Outside { low, high },
            Possible::Positive => Impossible::NotPositive,
            Possible::Usually(low, _) if low > 0.0 => Impossible::NotPositive,
            Possible::NotNegative | Possible::Any | Possible::Usually(..) => Impossible::Negative,
        };
        let fault = Fault::Impossible { quantity: given.quantity, reason };
        self.report(Problem { fault, range: 0..0 }.finding(|_| given.span));
        None
    }

    /// One quantity of one of some kinds.
    pub fn quantity(&mut self, node: &Node, kinds: &[Kind], possible: Possible) -> Option<Given> {
        let got = match &node.value {
            Value::Text(text) => quantity::quantity(&text.text, kinds, self.units),
            Value::Integer(number) => quantity::number(*number as f64, kinds, self.units),
            Value::Float(number) => quantity::number(*number, kinds, self.units),
            Value::List(items) => {
                let fault = Fault::Several { count: items.len() };
                self.report(Problem { fault, range: 0..0 }.finding(|_| node.span));
                return None;
            }
            _ => {
                self.wrong_form(node, wanted(kinds));
                return None;
            }
        };
        match got {
            Ok(quantity) => self.possible(Given { quantity, span: node.span }, possible),
            Err(problem) => {
                self.problem(node, &problem);
                None
            }
        }
    }

    /// One quantity or several, in a list or in one string.
    fn quantities(&mut self, node: &Node, spec: &ValueSpec) -> Option<Readings> {
        let nodes: &[Node] = match &node.value {
            Value::List(nodes) => nodes,
            _ => std::slice::from_ref(node),
        };
        // Most have one value or three; spare room would be kept as long as the book.
        let mut values = Vec::with_capacity(if nodes.len() == 1 { 0 } else { nodes.len() });
        let mut written = String::new();
        for node in nodes {
            match &node.value {
                Value::Text(text) => {
                    add_word(&mut written, &text.text);
                    match quantity::repeats(&text.text, spec.kinds, self.units) {
                        Ok(repeats) => {
                            let given = repeats.values.into_iter().filter_map(|(quantity, range)| {
                                self.possible(Given { quantity, span: node.place(range) }, spec.possible)
                            });
                            // A single text's list stays where it is.
                            if values.is_empty() { values = given.collect() } else { values.extend(given) }
                        }
                        Err(problem) if spec.shape == Shape::Laps => self.no_laps(node, &problem),
                        Err(problem) => self.problem(node, &problem),
                    }
                }
                Value::Integer(number) => {
                    add_word(&mut written, &number.to_string());
                    values.reserve_exact(1);
                    values.extend(self.quantity(node, spec.kinds, spec.possible));
                }
                Value::Float(number) => {
                    add_word(&mut written, &number.to_string());
                    values.reserve_exact(1);
                    values.extend(self.quantity(node, spec.kinds, spec.possible));
                }
                _ => self.wrong_form(node, wanted(spec.kinds)),
            }
        }
        (!values.is_empty()).then_some(Readings { values, written, span: node.span })
    }

    /// `x..y`, of one of some kinds.
    pub fn bounds(&mut self, node: &Node, kinds: &[Kind]) -> Option<Bounds> {
        let Value::Text(text) = &node.value else {
            self.wrong_form(node, say!("a range such as `\"104..106 mm\"`"));
            return None;
        };
        match quantity::interval(&text.text, kinds, self.units) {
            Ok(interval) => Some(Bounds { low: interval.low, high: interval.high, span: node.span }),
            Err(problem) => {
                self.problem(node, &problem);
                None
            }
        }
    }

    /// A setting in `settings`: a minus is a number below zero, and a step is an error.
    pub fn standing(&mut self, node: &Node, kinds: &[Kind], possible: Possible) -> Option<Amount> {
        let (size, way) = match self.amount(node, kinds, possible)? {
            Amount::By(size, way) => (size, way),
            standing => return Some(standing),
        };
        if way == Way::Minus && possible == Possible::Any {
            return Some(Amount::At(Quantity { value: -size.value, ..size }));
        }
        let written = quantity::show(&size, &Units::default());
        let step = match &node.value {
            Value::Text(text) => text.text.trim().to_owned(),
            _ => written.to_string(),
        };
        self.report(
            Finding::new(
                &codes::RELATIVE,
                node.span,
                say!("`{step}` is a step, and `settings` take the value itself", step),
            )
            .help(say!("if it is set to that: write `{written}`", written = written.to_string()))
            .help(say!("if it was moved by that: write `{step}` in a `change` block", step)),
        );
        None
    }

    /// A setting, as a value or a step.
    pub fn amount(&mut self, node: &Node, kinds: &[Kind], possible: Possible) -> Option<Amount> {
        let Value::Text(text) = &node.value else {
            return self.quantity(node, kinds, possible).map(|given| Amount::At(given.quantity));
        };
        match quantity::amount(&text.text, kinds, self.units) {
            Ok(Amount::At(quantity)) => self
                .possible(Given { quantity, span: node.span }, possible)
                .map(|given| Amount::At(given.quantity)),
            Ok(by) => Some(by),
            Err(problem) => {
                self.problem(node, &problem);
                None
            }
        }
    }

    /// A unit of a kind by its name.
    pub fn unit(&mut self, written: &Written, kind: Kind) -> Option<Unit> {
        match quantity::unit(&written.text, kind) {
            Ok(unit) => Some(unit),
            Err(problem) => {
                self.report(problem.finding(|_| written.span));
                None
            }
        }
    }

    fn plain_number(&mut self, node: &Node) -> Option<f64> {
        let got = self.quantity(node, &[Kind::Number], Possible::Positive)?;
        Some(got.value())
    }
}

/// Whether a text is the name of a file that holds a table.
fn names_a_table(text: &str) -> bool {
    let ending = |ending: &&str| text.len().checked_sub(ending.len()).and_then(|at| text.get(at..));
    TABLES.iter().any(|table| ending(table).is_some_and(|ending| ending.eq_ignore_ascii_case(table)))
}

/// Adds a word behind those before it.
fn add_word(words: &mut String, word: &str) {
    if !words.is_empty() {
        words.push(' ');
    }
    words.push_str(word);
}

fn wanted(kinds: &[Kind]) -> Message {
    Message::either(kinds.iter().map(Part::part))
}

impl Read for Given {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        match spec.shape {
            Shape::WithUnit => reader.with_unit(node, spec),
            Shape::Hours => reader.hours(node, spec.possible),
            _ => reader.quantity(node, spec.kinds, spec.possible),
        }
    }
}

impl Read for Readings {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let counts = ValueSpec { kinds: &[Kind::Count], ..*spec };
        reader.quantities(node, if spec.shape == Shape::Counts { &counts } else { spec })
    }
}

impl Read for Bounds {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        reader.bounds(node, spec.kinds)
    }
}

impl Read for Laps {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        if let Value::Text(text) = &node.value
            && names_a_table(&text.text)
        {
            return Some(Self::File(Written { text: text.text.to_string(), span: node.span }));
        }
        reader.quantities(node, spec).map(Self::Times)
    }
}

impl Read for Leverage {
    fn read(node: &Node, _spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let span = node.span;
        let Value::List(items) = &node.value else {
            let leverage = reader.plain_number(node)?;
            return Some(Self { form: LeverageForm::Constant(leverage), span });
        };
        let is_table = items.iter().any(|item| matches!(item.value, Value::List(_)));
        if !is_table {
            let [start, end] = items.as_slice() else {
                reader.wrong_form(node, say!("a number, `[start, end]`, or rows of `[wheel, stroke]`"));
                return None;
            };
            let (start, end) = (reader.plain_number(start)?, reader.plain_number(end)?);
            return Some(Self { form: LeverageForm::Linear(start, end), span });
        }
        let mut rows: Vec<(f64, f64)> = Vec::new();
        for item in items {
            let Value::List(pair) = &item.value else {
                reader.wrong_form(
                    item,
                    say!("a row `[\"50 mm\", \"17.2 mm\"]` of wheel travel and shock stroke"),
                );
                return None;
            };
            let [wheel, stroke] = pair.as_slice() else {
                reader.wrong_form(
                    item,
                    say!("a row `[\"50 mm\", \"17.2 mm\"]` of wheel travel and shock stroke"),
                );
                return None;
            };
            let mut length = |node: &Node| reader.quantity(node, &[Kind::Length], Possible::NotNegative);
            let (wheel, stroke) = (length(wheel)?.value(), length(stroke)?.value());
            let fault = match rows.last() {
                None if wheel != 0.0 || stroke != 0.0 => {
                    Some(say!("the first row must be full extension: no travel, no stroke"))
                }
                Some(&(before, stroke_before)) if wheel <= before || stroke <= stroke_before => {
                    Some(say!("wheel travel and shock stroke must rise from row to row"))
                }
                _ => None,
            };
            if let Some(fault) = fault {
                reader.report(
                    Finding::new(&codes::LINKAGE_FALLS, item.span, say!("the linkage's table does not rise"))
                        .found(fault)
                        .help(say!(
                            "measure from full extension and put the rows in the order of the travel"
                        )),
                );
                return None;
            }
            rows.push((wheel, stroke));
        }
        if rows.len() < 2 {
            reader.wrong_form(node, say!("at least two rows of `[wheel, stroke]`"));
            return None;
        }
        Some(Self { form: LeverageForm::Table(rows), span })
    }
}
