//! The blocks of a machine's notebook.

use crate::quantity::Kind::{
    Angle, Area, Count, EngineSpeed, Force, GaugePressure, Length, Links, Mass, Number, Rate, Share, Teeth,
    Volume,
};
use crate::vocabulary::spec::{Argument, NotebookKind, Open, Possible, Shape, ValueSpec};
use crate::vocabulary::values::{Bounds, Given, Leverage, Readings, Texts, Truth, Written};

use super::block;
use super::day::{AIR_PRESSURE, AIR_TEMPERATURE};

const MACHINE: &[NotebookKind] = &[NotebookKind::Machine];

/// The words of a chamber's `side`.
pub const POSITIVE: &str = "positive";
pub const NEGATIVE: &str = "negative";
/// The words of a fork's `kind`.
pub const COIL: &str = "coil";
pub const AIR: &str = "air";
/// The word of `shock.link` for the linkage in `shock`.
pub const STANDARD_LINK: &str = "standard";
/// The words of a coil's `material`.
pub const MUSIC_WIRE: &str = "music wire";
pub const CHROME_SILICON: &str = "chrome-silicon";
/// The words of a carburettor's `numbering`.
pub const BY_DIAMETER: &str = "diameter";
pub const BY_FLOW: &str = "flow";

/// The steepest angle of a steering axis from the vertical, 45°. One from the horizontal is above it.
const STEEPEST: f64 = std::f64::consts::FRAC_PI_4;

/// What parts of a machine measure as a rule, in SI base units: wide enough for a child's 50 cm³, a trials machine and
/// an old twin-shock. A decimal point that slipped, or centimetres for millimetres, is outside. Common practice, no
/// source.
const TRAIL: ValueSpec = ValueSpec::usually(&[Length], 0.02, 0.25);
const WHEELBASE: ValueSpec = ValueSpec::usually(&[Length], 0.6, 2.0);
const SWINGARM: ValueSpec = ValueSpec::usually(&[Length], 0.15, 0.9);
const PIVOT_HEIGHT: ValueSpec = ValueSpec::usually(&[Length], 0.1, 0.7);
const MACHINE_MASS: ValueSpec = ValueSpec::usually(&[Mass], 10.0, 400.0);
const COG: ValueSpec = ValueSpec::usually(&[Length], 0.15, 1.6);
const CLEARANCE: ValueSpec = ValueSpec::usually(&[Length], 0.05, 0.7);
const ROLLOUT: ValueSpec = ValueSpec::usually(&[Length], 0.5, 2.8);
const LOADED_RADIUS: ValueSpec = ValueSpec::usually(&[Length], 0.08, 0.45);
const UNSPRUNG: ValueSpec = ValueSpec::usually(&[Mass], 0.0, 80.0);
const TRAVEL: ValueSpec = ValueSpec::usually(&[Length], 0.02, 0.45);
const FORK_LENGTH: ValueSpec = ValueSpec::usually(&[Length], 0.3, 1.3);
pub(in crate::vocabulary) const AIR_GAP: ValueSpec = ValueSpec::usually(&[Length], 0.02, 0.4);
const BORE: ValueSpec = ValueSpec::usually(&[Length], 0.005, 0.1);
const PISTON_AREA: ValueSpec = ValueSpec::usually(&[Area], 0.2e-4, 60e-4);
const CHAMBER_VOLUME: ValueSpec = ValueSpec::usually(&[Volume], 2e-6, 3e-3);
const THREAD_PITCH: ValueSpec = ValueSpec::usually(&[Length], 0.5e-3, 5e-3);
const ROD: ValueSpec = ValueSpec::usually(&[Length], 4e-3, 30e-3);
const WIRE: ValueSpec = ValueSpec::usually(&[Length], 1e-3, 25e-3);
const COIL_DIAMETER: ValueSpec = ValueSpec::usually(&[Length], 0.01, 0.15);
pub(in crate::vocabulary) const FRONT_TEETH: ValueSpec = ValueSpec::usually(&[Teeth], 5.0, 30.0);
pub(in crate::vocabulary) const REAR_TEETH: ValueSpec = ValueSpec::usually(&[Teeth], 15.0, 100.0);
pub(in crate::vocabulary) const LINKS: ValueSpec = ValueSpec::usually(&[Links], 50.0, 180.0);
const REV_LIMIT: ValueSpec = ValueSpec::usually(&[EngineSpeed], 2500.0 / 60.0, 30_000.0 / 60.0);

block! {
    /// The frame as published or measured, and the attitude for which its numbers hold.
    Frame "frame", Argument::None, MACHINE, Open::No,
    "The frame as published or measured, and the attitude for which its numbers hold." {
        rake: Given = "rake", ValueSpec::between(&[Angle], 0.0, STEEPEST), Some("rake, trail and wheelbase"), None, "steering axis from the vertical";
        trail: Given = "trail", TRAIL, Some("trail and wheelbase"), Some("total_offset"), "on the ground, steering axis to front contact";
        total_offset: Given = "total_offset", ValueSpec::one(&[Length]), None, Some("trail"), "steering axis to front axle, square to the axis (not the clamps' own offset)";
        wheelbase: Given = "wheelbase", WHEELBASE, Some("rake, trail and wheelbase"), None, "contact to contact";
        swingarm: Given = "swingarm", SWINGARM, None, None, "pivot to rear axle";
        pivot_height: Given = "pivot_height", PIVOT_HEIGHT, None, None, "swingarm pivot above the ground";
        mass: Given = "mass", MACHINE_MASS, None, None, "ready to ride, with fuel as when the sag is measured";
        front_share: Given = "front_share", ValueSpec::between(&[Share], 0.0, 1.0), None, None, "share of the machine's mass on the front wheel";
        cog_ahead: Given = "cog.ahead_of_rear_axle", COG, None, None, "centre of gravity ahead of the rear axle, rider standing, as the frame was measured";
        cog_height: Given = "cog.height", COG, None, None, "centre of gravity above the ground, rider standing, as the frame was measured";
        countershaft_ahead: Given = "countershaft.ahead_of_pivot", ValueSpec::one(&[Length]), None, None, "countershaft ahead of the swingarm pivot";
        countershaft_above: Given = "countershaft.above_pivot", ValueSpec::one(&[Length]), None, None, "countershaft above the swingarm pivot";
        ground_clearance: Given = "ground_clearance", CLEARANCE, None, None, "lowest point above the ground, as the frame was measured";
        measured_fork_height: Given = "measured_at.fork.height", ValueSpec::one(&[Length]), None, None, "fork height when the frame was measured; the standard one when not given";
        measured_front_sag: Given = "measured_at.sag.front", ValueSpec::not_negative(&[Length]), None, None, "front sag when the frame was measured; none when not given";
        measured_rear_sag: Given = "measured_at.sag.rear", ValueSpec::not_negative(&[Length]), None, None, "rear sag when the frame was measured; none when not given";
    }
}

block! {
    /// A wheel with its tyre.
    Wheel "wheel", Argument::End, MACHINE, Open::No, "A wheel with its tyre." {
        tyre: Written = "tyre", ValueSpec::text(), None, None, "tyre code, such as `80/100-21`";
        rollout: Given = "rollout", ROLLOUT, None, None, "distance rolled in one turn; used rather than the code";
        loaded_radius: Given = "loaded_radius", LOADED_RADIUS, None, None, "axle above the ground; used rather than the rollout";
        unsprung: Given = "unsprung", UNSPRUNG, None, None, "mass that the spring does not carry";
    }
}

block! {
    /// The fork.
    Fork "fork", Argument::None, MACHINE, Open::No, "The fork." {
        kind: Written = "kind", ValueSpec::word(&[COIL, AIR]), Some("the fork's forces"), None, "`coil` or `air`";
        travel: Given = "travel", TRAVEL, Some("shares of travel and the fork's forces"), None, "along the tubes";
        length: Given = "length", FORK_LENGTH, None, None, "from the axle to the top of the tube, fully out; for the drawing alone";
        springs: Given = "springs", ValueSpec::positive(&[Count]), None, None, "how many springs; 2 when not given";
        spring: Given = "spring", ValueSpec::positive(&[Rate]), None, None, "rate of each spring";
        preload: Given = "preload", ValueSpec::not_negative(&[Length]), None, None, "how far each spring is squeezed at full extension";
        air_gap: Given = "air_gap", AIR_GAP, None, None, "from the top of the tube to the oil, fully compressed, springs out";
        bore: Given = "bore", BORE, None, None, "of the tube where the air gap is, each leg";
        swept: Given = "swept", BORE, None, None, "diameter that the leg sweeps; the bore when not given";
        ride_exponent: Given = "ride_exponent", ValueSpec::between(&[Number], 1.0, 1.4), None, None, "1 for slow strokes, 1.4 for sudden ones; 1.3 when not given";
        bleeders: Truth = "bleeders", ValueSpec::of(Shape::Truth), None, None, "whether its caps have bleed screws; never used for an air fork, where somebody would press the air valve";
    }
}

block! {
    /// An air chamber of the fork.
    Chamber "chamber", Argument::Name, MACHINE, Open::No, "An air chamber of the fork." {
        side: Written = "side", ValueSpec::word(&[POSITIVE, NEGATIVE]), Some("the chamber's force"), None, "`positive` resists compression, `negative` resists extension";
        area: Given = "area", PISTON_AREA, None, Some("bore"), "of its piston";
        bore: Given = "bore", BORE, Some("the chamber's force"), Some("area"), "of its piston";
        volume: Given = "volume", CHAMBER_VOLUME, Some("the chamber's force"), None, "at full extension";
        limit: Given = "limit", ValueSpec::positive(&[GaugePressure]), None, None, "the maker's highest pressure";
        charged_from: Written = "charged_from", ValueSpec::text(), None, None, "the chamber that fills it through a port at full extension; it then has no pressure of its own";
    }
}

block! {
    /// The shock and its linkage.
    Shock "shock", Argument::None, MACHINE, Open::No, "The shock and its linkage." {
        travel: Given = "travel", TRAVEL, Some("rear shares of travel and wheel rate"), None, "of the rear wheel, vertical";
        leverage: Leverage = "leverage", ValueSpec::of(Shape::Leverage), Some("the rear spring's figures"), None, "wheel travel over shock stroke: a number, `[start, end]`, or rows of `[wheel, stroke]`";
        spring: Given = "spring", ValueSpec::positive(&[Rate]), None, None, "rate of the spring";
        thread_pitch: Given = "thread_pitch", THREAD_PITCH, None, None, "how far one turn moves the collar";
        preload_range: Bounds = "preload_range", ValueSpec::range(&[Length]), None, None, "least and most preload";
        gas: Given = "gas", ValueSpec::not_negative(&[GaugePressure]), None, None, "pressure of the gas, from the manual";
        rod: Given = "rod", ROD, None, None, "diameter of the shock's rod";
        gas_force: Given = "gas_force", ValueSpec::not_negative(&[Force]), None, None, "force of the gas on the rod";
    }
}

block! {
    /// Another linkage, chosen by the setting `shock.link`.
    Link "link", Argument::Name, MACHINE, Open::No, "Another linkage, chosen by the setting `shock.link`." {
        leverage: Leverage = "leverage", ValueSpec::of(Shape::Leverage), Some("the rear spring's figures with this link"), None, "as in `shock`";
    }
}

block! {
    /// Springs on hand.
    Springs "springs", Argument::End, MACHINE, Open::No, "Springs on hand." {
        rates: Readings = "rates", ValueSpec::list(&[Rate], Possible::Positive), Some("a choice of springs"), None, "their rates";
    }
}

block! {
    /// A bare coil spring, measured.
    Coil "coil", Argument::End, MACHINE, Open::No, "A bare coil spring, measured." {
        wire: Given = "wire", WIRE, Some("the coil's rate"), None, "diameter of the wire";
        outside: Given = "outside", COIL_DIAMETER, None, Some("mean"), "outside diameter of the coil";
        mean: Given = "mean", COIL_DIAMETER, Some("the coil's rate"), Some("outside"), "mean diameter of the coil";
        active_coils: Given = "active_coils", ValueSpec::positive(&[Number]), Some("the coil's rate"), None, "coils that move";
        material: Written = "material", ValueSpec::word(&[MUSIC_WIRE, CHROME_SILICON]), None, None, "`music wire` or `chrome-silicon`";
        label: Given = "label", ValueSpec::positive(&[Rate]), None, None, "rate on its label";
    }
}

block! {
    /// Sprockets, chain and gears.
    Drive "drive", Argument::None, MACHINE, Open::No, "Sprockets, chain and gears." {
        front: Given = "front", FRONT_TEETH, Some("gearing"), None, "teeth of the standard countershaft sprocket";
        rear: Given = "rear", REAR_TEETH, Some("gearing"), None, "teeth of the standard rear sprocket";
        chain: Written = "chain", ValueSpec::text(), Some("chain length and axle place"), None, "its size, such as `520`";
        links: Given = "links", LINKS, None, None, "links of the standard chain";
        primary: Given = "primary", ValueSpec::positive(&[Number]), None, None, "primary ratio";
        gears: Readings = "gears", ValueSpec::list(&[Number], Possible::Positive), None, None, "ratio of each gear, first gear first";
        rev_limit: Given = "rev_limit", REV_LIMIT, None, None, "highest engine speed";
        adjuster: Bounds = "adjuster", ValueSpec::range(&[Length]), None, None, "how far the axle can move, backwards positive";
        sprockets_front: Readings = "sprockets.front", ValueSpec::list(&[Teeth], Possible::Positive), None, None, "countershaft sprockets on hand";
        sprockets_rear: Readings = "sprockets.rear", ValueSpec::list(&[Teeth], Possible::Positive), None, None, "rear sprockets on hand";
    }
}

block! {
    /// The clicks or turns that each adjuster has.
    Adjusters "adjusters", Argument::None, MACHINE, Open::Adjusters, "The clicks or turns that each adjuster has, from closed to open." {}
}

block! {
    /// The fuelling choices of an injected engine.
    Fuelling "fuelling", Argument::None, MACHINE, Open::No, "The fuelling choices of an injected engine." {
        choices: Texts = "choices", ValueSpec::texts(), Some("a check of the setting `fuelling`"), None, "their names, the leanest first";
    }
}

block! {
    /// The carburettor, and the air for which its jetting was right.
    Carburettor "carburettor", Argument::None, MACHINE, Open::No, "The carburettor, and the air for which it was right." {
        main: Given = "main", ValueSpec::positive(&[Number]), Some("a main jet for the day's air"), None, "the main jet that was right";
        on_hand: Readings = "on_hand", ValueSpec::list(&[Number], Possible::Positive), None, None, "main jets on hand";
        numbering: Written = "numbering", ValueSpec::word(&[BY_DIAMETER, BY_FLOW]), Some("a main jet for the day's air"), None, "whether the numbers go by `diameter` or by `flow`";
        tuned_air: Given = "tuned_at.air", AIR_TEMPERATURE, Some("a main jet for the day's air"), None, "air temperature when it was right";
        tuned_pressure: Given = "tuned_at.pressure", AIR_PRESSURE, Some("a main jet for the day's air"), None, "pressure at the place when it was right";
        tuned_humidity: Given = "tuned_at.humidity", ValueSpec::between(&[Share], 0.0, 1.0), None, None, "humidity when it was right";
    }
}

block! {
    /// The maker's limits: an error when passed.
    Limits "limits", Argument::None, MACHINE, Open::Limits, "The maker's limits on figures, readings and settings: an error when passed." {}
}

block! {
    /// What works: a warning outside.
    BandBlock "band", Argument::None, MACHINE, Open::Bands, "What works, for figures, readings and settings, and how often to look: a warning outside." {}
}

block! {
    /// Services, and how often.
    ServiceBlock "service", Argument::None, MACHINE, Open::Services, "What is serviced, and when." {}
}

block! {
    /// Torques from the manual.
    Torques "torques", Argument::None, MACHINE, Open::Torques, "Torques, from the machine's manual." {}
}

block! {
    /// Boxes on every sheet.
    Checklist "checklist", Argument::None, MACHINE, Open::No, "Boxes on every sheet." {
        items: Texts = "items", ValueSpec::texts(), Some("boxes on the sheet"), None, "what to look at before riding";
    }
}
