//! The side view, compared with the geometry's figures: what is drawn is what was worked out.

use loambook::document::{Shape, tree};
use loambook::figures::tape::Tape;
use loambook::figures::{Bench, Here};
use loambook::pages::side_view::{Place, Stand};

use super::*;

/// To a millionth of a millimetre: the same numbers, turned.
const NEAR: f64 = 1e-6;

fn near(is: f64, wanted: f64, what: &str) {
    assert!((is - wanted).abs() < NEAR, "{what}: {is} and not {wanted}");
}

fn apart(a: Place, b: Place) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// From the vertical, in degrees, leaning back.
fn lean(line: &[Place]) -> f64 {
    let (from, to) = (line[0], line[line.len() - 1]);
    ((from.0 - to.0) / (to.1 - from.1)).atan().to_degrees()
}

/// Every day of the demo with its sheet and a figure of it, lengths in mm and angles in degrees.
fn each_day(look: impl Fn(&Sheet, &dyn Fn(&str) -> f64)) -> usize {
    let Compiled { book, season, .. } = replayed(demo());
    let mut seen = 0;
    for index in 0..book.days.len() {
        let sheet = sheet::sheet(&book, &season, &Advice::shipped(), index, Options::default()).unwrap();
        if sheet.stands.as_ref().and_then(|stands| stands.side_view.as_ref()).is_none() {
            continue;
        }
        let tape = Tape::new();
        let state = season.days[index].end();
        let bench = Bench::new(Here::of_day(&book, &season, index, state).unwrap(), &tape);
        let unit = sheet.stands.as_ref().unwrap().side_view.as_ref().unwrap().unit;
        let scale = if unit == "in" { 1.0 / 0.0254 } else { 1000.0 };
        look(&sheet, &|name: &str| {
            let value = bench.value(books::figure(name)).unwrap_or_else(|| panic!("{name}"));
            let is_angle = ["geometry.rake", "geometry.droop"].contains(&name);
            if is_angle { value.to_degrees() } else { value * scale }
        });
        seen += 1;
    }
    seen
}

fn today(sheet: &Sheet) -> Stand {
    sheet.stands.as_ref().unwrap().side_view.as_ref().unwrap().today.clone()
}

#[test]
fn the_drawn_machine_has_the_rake_trail_wheelbase_and_sags_of_its_figures() {
    let seen = each_day(|sheet, figure| {
        let stand = today(sheet);
        near(lean(&stand.axis), figure("geometry.rake"), "rake");
        near(stand.axis[0].0 - stand.contacts[1].0, figure("geometry.trail"), "trail");
        near(apart(stand.contacts[0], stand.contacts[1]), figure("geometry.wheelbase"), "wheelbase");
        // Wheels touch the ground.
        for wheel in &stand.wheels {
            near(wheel.at.1, wheel.radius, "radius");
        }
        // From the axle square to the axis is the offset: Hesse's form of the axis.
        let (foot, angle) = (stand.axis[0], lean(&stand.axis).to_radians());
        let axle = stand.wheels[1].at;
        let offset = (axle.0 - foot.0) * angle.cos() + (axle.1 - foot.1) * angle.sin();
        near(offset, figure("geometry.offset"), "offset");
        let (pivot, rear) = (stand.swingarm[0], stand.swingarm[1]);
        near(pivot.1, figure("geometry.pivot_height"), "pivot");
        near(
            ((pivot.1 - rear.1) / apart(pivot, rear)).asin().to_degrees(),
            figure("geometry.droop"),
            "droop",
        );
        // From fully extended to where it rests is the sag.
        near(apart(stand.ways[0][0], axle), figure("sag.front.rider_expected"), "front sag");
        let way = &stand.ways[1];
        for place in way {
            near(apart(*place, pivot), apart(rear, pivot), "the axle goes about the pivot");
        }
    });
    assert!(seen > 12, "{seen}");
}

#[test]
fn the_fork_ends_where_its_length_less_its_sag_does_and_the_chain_touches_its_sprockets() {
    let seen = each_day(|sheet, figure| {
        let stand = today(sheet);
        near(lean(&stand.fork), figure("geometry.rake"), "the fork stands along the axis");
        let (axle, top) = (stand.fork[0], stand.fork[1]);
        let out = apart(axle, top) + figure("sag.front.rider_expected");
        // From the machines' notebooks; the light rider's is in inches.
        let known = [957.0, 951.0, 928.0].map(|length| [length, length / 25.4]).concat();
        assert!(known.iter().any(|length| (length - out).abs() < NEAR), "{out}");
        near(apart(stand.clamp[0], stand.clamp[1]), figure("geometry.offset"), "clamp");
        for run in &stand.chain {
            for (end, sprocket) in run.iter().zip(&stand.sprockets) {
                near(apart(*end, sprocket.at), sprocket.radius, "on its pitch circle");
                // A tangent is at right angles to the radius.
                let (along, out) = (
                    (run[1].0 - run[0].0, run[1].1 - run[0].1),
                    (end.0 - sprocket.at.0, end.1 - sprocket.at.1),
                );
                near((along.0 * out.0 + along.1 * out.1) / apart(run[0], run[1]), 0.0, "square");
            }
        }
        assert_eq!(stand.chain.len(), 2);
    });
    assert!(seen > 12, "{seen}");
}

/// The shapes of the drawing behind a sheet, and how many points a unit of it has by its wheels.
fn drawn(sheet: &Sheet) -> (Vec<Shape>, f64) {
    let templates = Templates::new(std::iter::empty::<(&str, &str)>()).unwrap();
    let document = compose("sheet.md", sheet, &templates).unwrap();
    let drawing = document.blocks.iter().find_map(|block| match block {
        tree::Block::Drawing(drawing) => Some(drawing.clone()),
        _ => None,
    });
    let picture = drawing.unwrap().draw(527.0, &|text, size, _| size * 0.5 * text.chars().count() as f64);
    let wheel = picture.shapes.iter().filter_map(|shape| match shape {
        // A whole circle ends where it begins.
        Shape::Stroke { points, .. }
            if points.len() > 100 && apart(points[0], points[points.len() - 1]) < 1e-6 =>
        {
            let xs = points.iter().map(|point| point.0);
            Some(xs.clone().fold(f64::MIN, f64::max) - xs.fold(f64::MAX, f64::min))
        }
        _ => None,
    });
    let widest = wheel.fold(0.0, f64::max);
    let radius = today(sheet).wheels.iter().map(|wheel| wheel.radius).fold(0.0, f64::max);
    (picture.shapes.clone(), widest / (2.0 * radius))
}

#[test]
fn on_paper_the_drawn_axis_leans_as_the_rake_and_the_trail_is_as_long_as_it_is() {
    let seen = each_day(|sheet, figure| {
        let (shapes, scale) = drawn(sheet);
        let axis = shapes.iter().find_map(|shape| match shape {
            Shape::Stroke { points, dash, .. } if dash.len() == 4 => Some(points.clone()),
            _ => None,
        });
        let axis = axis.unwrap();
        let (foot, top) = (axis[0], axis[1]);
        let leans = ((foot.0 - top.0) / (foot.1 - top.1)).atan().to_degrees();
        assert!((leans - figure("geometry.rake")).abs() < 1e-6, "{leans}");
        let contact = today(sheet).contacts[1].0 - today(sheet).axis[0].0;
        // Some line on the paper is exactly as long as the trail: that of its dimension.
        let trail = -contact * scale;
        let is_trail = |shape: &Shape| match shape {
            Shape::Stroke { points, .. } if points.len() == 2 => {
                (points[0].1 - points[1].1).abs() < 1e-9 && (apart(points[0], points[1]) - trail).abs() < 0.05
            }
            _ => false,
        };
        assert!(shapes.iter().any(is_trail), "no line of {trail} points");
    });
    assert!(seen > 12, "{seen}");
}

#[test]
fn what_there_are_no_numbers_for_is_left_out_and_told() {
    let machine = |more: &str| {
        format!(
            "+++\nkind = \"machine\"\nname = \"Small one\"\n+++\n```frame\nrake = \"27°\"\ntrail = \"110 mm\"\n\
             wheelbase = \"1400 mm\"\nswingarm = \"560 mm\"\npivot_height = \"380 mm\"\n```\n\
             ```wheel front\ntyre = \"80/100-21\"\n```\n```wheel rear\ntyre = \"110/90-19\"\n```\n\
             ```band\nsag.front.rider = {{ aim = \"65 mm\" }}\nsag.rear.rider = {{ aim = \"100 mm\" }}\n```\n{more}"
        )
    };
    let day =
        "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"small\"\nrider = \"kid\"\n+++\nFirst go.\n";
    let kid = "+++\nkind = \"rider\"\nname = \"Kid\"\n+++\n";
    let of = |machine: String| {
        let store = Memory::new().with("small.md", machine).with("kid.md", kid).with("day.md", day);
        let [page] = pages(&store, Paper::A4).try_into().unwrap_or_else(|_| panic!("one day"));
        page
    };
    let bare = of(machine(""));
    let view = bare.sheet.stands.as_ref().unwrap().side_view.clone().unwrap();
    assert!(view.today.fork.is_empty() && view.today.chain.is_empty() && view.today.ways.is_empty());
    let told = text(&bare.printed).replace('\n', " ");
    for part in ["fork (needs", "front travel (needs", "rear travel (needs", "chain (needs", "gravity (needs"]
    {
        assert!(told.contains(part), "{part}: {told}");
    }
    let fork = of(machine("```fork\nkind = \"coil\"\ntravel = \"300 mm\"\nlength = \"900 mm\"\n```\n"));
    let view = fork.sheet.stands.as_ref().unwrap().side_view.clone().unwrap();
    near(apart(view.today.fork[0], view.today.fork[1]), 900.0 - 65.0, "fork");
    // Without a frame there is no view, and no page for it.
    let none = of("+++\nkind = \"machine\"\nname = \"Small one\"\n+++\n".to_owned());
    assert!(none.sheet.stands.is_none());
    assert_eq!(none.printed.pages, 1);
}
