//! One case of `tests/reference/`: its inputs in SI, its expected values, and the comparison.
//!
//! What the keys and tolerances mean is in the README beside the cases.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use toml::{Table, Value};

/// Unit at the end of a key: `si = (value + offset) · numerator / denominator`.
///
/// Two numbers instead of one factor, because a division by 1000 is rounded once and a product with
/// 0.001 twice; some cases allow no error at all.
struct Unit {
    suffix: &'static str,
    offset: f64,
    numerator: f64,
    denominator: f64,
}

const fn unit(suffix: &'static str, numerator: f64, denominator: f64) -> Unit {
    Unit { suffix, offset: 0.0, numerator, denominator }
}

/// Factors: NIST SP 811 (2008), appendix B.8. A suffix that ends another comes after it.
const UNITS: &[Unit] = &[
    unit("kg_per_m3", 1.0, 1.0),
    unit("N_per_mm", 1000.0, 1.0),
    unit("lbf_per_in", 4.448_221_615_260_5, 0.0254),
    unit("km_per_h", 1.0, 3.6),
    unit("mm2", 1.0, 1e6),
    unit("cm3", 1.0, 1e6),
    unit("mm", 1.0, 1000.0),
    unit("nm", 1.0, 1e9),
    unit("m", 1.0, 1.0),
    unit("in", 0.0254, 1.0),
    unit("deg", std::f64::consts::PI, 180.0),
    unit("rad", 1.0, 1.0),
    unit("percent", 1.0, 100.0),
    unit("N", 1.0, 1.0),
    unit("kg", 1.0, 1.0),
    unit("psi", 6_894.757_293_168, 1.0),
    unit("bar", 1e5, 1.0),
    unit("hPa", 100.0, 1.0),
    unit("kPa", 1000.0, 1.0),
    unit("GPa", 1e9, 1.0),
    unit("Pa", 1.0, 1.0),
    Unit { suffix: "degC", offset: 273.15, numerator: 1.0, denominator: 1.0 },
    unit("K", 1.0, 1.0),
    unit("J", 1.0, 1.0),
    unit("Hz", 1.0, 1.0),
    unit("Nm", 1.0, 1.0),
    unit("rpm", 1.0, 60.0),
    unit("mA", 1.0, 1000.0),
    unit("", 1.0, 1.0),
];

impl Unit {
    fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.numerator / self.denominator
    }
    fn width_to_si(&self, width: f64) -> f64 {
        width * self.numerator / self.denominator
    }
}

/// The quantity that a key names and the unit it is written in.
fn split(key: &str) -> (&str, &'static Unit) {
    let found = UNITS.iter().find_map(|unit| {
        let name = key.strip_suffix(unit.suffix)?;
        let name = if unit.suffix.is_empty() { name } else { name.strip_suffix('_')? };
        Some((name, unit))
    });
    found.expect("the unit without a suffix always fits")
}

fn plain(value: &Value) -> Option<f64> {
    match value {
        Value::Float(number) => Some(*number),
        Value::Integer(number) => Some(*number as f64),
        _ => None,
    }
}

/// What a case is computed from. Names are keys without their unit; numbers come in SI.
pub struct Inputs(Table);

impl Inputs {
    fn find(&self, name: &str) -> Option<(&Value, &'static Unit)> {
        self.0.iter().find_map(|(key, value)| {
            let (found, unit) = split(key);
            (found == name).then_some((value, unit))
        })
    }

    /// The number `name` in SI, `None` when it is not given.
    ///
    /// `rpm` comes as revolutions a second, `deg` in rad, `degC` in K, `percent` as a share of one.
    pub fn maybe(&self, name: &str) -> Option<f64> {
        let (value, unit) = self.find(name)?;
        plain(value).map(|number| unit.to_si(number))
    }

    pub fn number(&self, name: &str) -> f64 {
        self.maybe(name).unwrap_or_else(|| panic!("the case gives no number `{name}`"))
    }

    /// The list `name` in SI, `None` when it is not given or not a list.
    pub fn maybe_numbers(&self, name: &str) -> Option<Vec<f64>> {
        let (value, unit) = self.find(name)?;
        let list = value.as_array()?;
        list.iter().map(|value| plain(value).map(|number| unit.to_si(number))).collect()
    }

    pub fn numbers(&self, name: &str) -> Vec<f64> {
        self.maybe_numbers(name).unwrap_or_else(|| panic!("the case gives no list `{name}`"))
    }

    /// The list of lists `name` in SI, `None` when it is not given.
    pub fn maybe_lists(&self, name: &str) -> Option<Vec<Vec<f64>>> {
        let (value, unit) = self.find(name)?;
        let of_list = |list: &Value| {
            list.as_array()?.iter().map(|value| plain(value).map(|number| unit.to_si(number))).collect()
        };
        value.as_array()?.iter().map(of_list).collect()
    }

    pub fn maybe_text(&self, name: &str) -> Option<&str> {
        self.0.get(name)?.as_str()
    }

    pub fn text(&self, name: &str) -> &str {
        self.maybe_text(name).unwrap_or_else(|| panic!("the case gives no text `{name}`"))
    }

    /// The tables of the list `name`, such as chambers.
    pub fn tables(&self, name: &str) -> Vec<Inputs> {
        let list = self.0.get(name).and_then(Value::as_array);
        let list = list.unwrap_or_else(|| panic!("the case gives no list of tables `{name}`"));
        list.iter().map(|value| Inputs(value.as_table().expect("a table").clone())).collect()
    }

    /// The table `name`, `None` when it is not given.
    pub fn maybe_table(&self, name: &str) -> Option<Inputs> {
        self.0.get(name)?.as_table().cloned().map(Inputs)
    }

    /// The names given, without their units, in the order of their keys.
    pub fn names(&self) -> Vec<&str> {
        self.0.keys().map(|key| split(key).0).collect()
    }
}

/// The results of a computation, by name without unit, in SI.
#[derive(Default)]
pub struct Outputs(BTreeMap<String, Output>);

enum Output {
    Numbers(Vec<f64>),
    Text(String),
    Truth(bool),
}

impl Outputs {
    pub fn new() -> Self {
        Self::default()
    }
    pub fn number(self, name: &str, value: f64) -> Self {
        self.numbers(name, &[value])
    }
    /// Leaves the name out when there is no value, so that a case which expects it fails.
    pub fn maybe(self, name: &str, value: Option<f64>) -> Self {
        match value {
            Some(value) => self.number(name, value),
            None => self,
        }
    }
    pub fn numbers(mut self, name: &str, values: &[f64]) -> Self {
        self.0.insert(name.to_owned(), Output::Numbers(values.to_vec()));
        self
    }
    pub fn text(mut self, name: &str, value: &str) -> Self {
        self.0.insert(name.to_owned(), Output::Text(value.to_owned()));
        self
    }
    pub fn truth(mut self, name: &str, value: bool) -> Self {
        self.0.insert(name.to_owned(), Output::Truth(value));
        self
    }
}

pub struct Case {
    pub name: String,
    pub computation: String,
    pub source: String,
    pub inputs: Inputs,
    expected: Table,
    relative: f64,
    absolute: f64,
}

impl Case {
    fn new(table: &Table) -> Case {
        let text = |key: &str| {
            let value = table.get(key).and_then(Value::as_str);
            value.unwrap_or_else(|| panic!("a case has no `{key}`: {table:?}")).to_owned()
        };
        let part = |key: &str| {
            let value = table.get(key).and_then(Value::as_table);
            value.unwrap_or_else(|| panic!("a case has no `{key}`: {table:?}")).clone()
        };
        let tolerance = |key: &str| table.get(key).and_then(plain).unwrap_or(0.0);
        let known = ["name", "computation", "source", "tolerance_rel", "tolerance_abs", "inputs", "expected"];
        let stray = table.keys().find(|key| !known.contains(&key.as_str()));
        assert!(stray.is_none(), "a case has a key that means nothing: {stray:?}");
        let expected = part("expected");
        assert!(!expected.is_empty(), "a case expects nothing: {table:?}");
        Case {
            name: text("name"),
            computation: text("computation"),
            source: text("source"),
            inputs: Inputs(part("inputs")),
            expected,
            relative: tolerance("tolerance_rel"),
            absolute: tolerance("tolerance_abs"),
        }
    }

    pub fn parse(text: &str) -> Case {
        Case::new(&text.parse().expect("valid TOML"))
    }

    /// Every expected key that the answer misses or gets wrong.
    pub fn faults(&self, outputs: &Outputs) -> Vec<String> {
        let fault = |(key, expected): (&String, &Value)| {
            let (name, unit) = split(key);
            let wrong = match outputs.0.get(name) {
                Some(output) => self.fault(expected, unit, output)?,
                None => "no answer".to_owned(),
            };
            Some(format!("{}: {key}: {wrong}", self.name))
        };
        self.expected.iter().filter_map(fault).collect()
    }

    fn fault(&self, expected: &Value, unit: &Unit, output: &Output) -> Option<String> {
        let same = match (expected, output) {
            (Value::String(wanted), Output::Text(text)) => wanted == text,
            (Value::Boolean(wanted), Output::Truth(truth)) => wanted == truth,
            (_, Output::Numbers(values)) => {
                let one = [expected.clone()];
                let wanted = expected.as_array().map_or(&one[..], Vec::as_slice);
                let numbers: Option<Vec<f64>> = wanted.iter().map(plain).collect();
                numbers.is_some_and(|numbers| self.close(&numbers, unit, values))
            }
            _ => false,
        };
        let got = match output {
            Output::Numbers(values) => {
                let scale = unit.numerator / unit.denominator;
                format!("{:?}", values.iter().map(|si| si / scale - unit.offset).collect::<Vec<_>>())
            }
            Output::Text(text) => text.clone(),
            Output::Truth(truth) => truth.to_string(),
        };
        (!same).then(|| format!("expected {expected:?}, got {got}"))
    }

    fn close(&self, wanted: &[f64], unit: &Unit, values: &[f64]) -> bool {
        let near = |(wanted, value): (&f64, &f64)| {
            let allowed = self.absolute.max(self.relative * wanted.abs());
            // Written so that a result that is not a number fails.
            (value - unit.to_si(*wanted)).abs() <= unit.width_to_si(allowed)
        };
        wanted.len() == values.len() && wanted.iter().zip(values).all(near)
    }
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

/// The names of the files of cases, sorted, without `.toml`.
pub fn files() -> Vec<String> {
    let entries = fs::read_dir(folder()).expect("the folder of reference cases");
    let names = entries.map(|entry| entry.expect("an entry").file_name().into_string().expect("UTF-8"));
    let mut files: Vec<String> =
        names.filter_map(|name| name.strip_suffix(".toml").map(str::to_owned)).collect();
    files.sort_unstable();
    files
}

pub fn read(file: &str) -> Vec<Case> {
    let text = fs::read_to_string(folder().join(file).with_extension("toml")).expect("a file of cases");
    let table: Table = text.parse().expect("valid TOML");
    let cases = table.get("case").and_then(Value::as_array).expect("an array of cases");
    cases.iter().map(|case| Case::new(case.as_table().expect("a table"))).collect()
}
