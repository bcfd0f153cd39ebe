//! Sprockets, chain and speed.

use crate::physics::chain::{self, Chain};
use crate::physics::{Number, Point, gearing};
use crate::speech::say;
use crate::vocabulary::blocks::{Drive, Frame};
use crate::vocabulary::{End, Setting};

use super::bench::{Bench, Got, Origin, Part, cannot, missing};
use super::geometry::Stance;
use super::recorder::Recorder;
use super::rejected::if_unwritten;

/// Sprockets and links of one setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gearing {
    pub chain: Chain,
    pub links: Option<u32>,
}

/// A count from a notebook; `None` where it is no whole number that a sprocket can have.
pub(super) fn whole(value: f64) -> Option<u32> {
    let rounded = value.round();
    ((value - rounded).abs() < 1e-6 && (1.0..=10_000.0).contains(&rounded)).then_some(rounded as u32)
}

impl<R: Recorder> Bench<'_, R> {
    fn drive(&self) -> Got<&Drive> {
        self.machine()?.drive().ok_or_else(|| missing("drive", Drive::front, "machine"))
    }

    fn teeth(&self, name: Setting, number: R::Number) -> Got<u32> {
        whole(number.value()).ok_or_else(|| cannot(say!("`{name}` is not a whole number of teeth", name)))
    }

    fn chain_pitch(&self) -> Got<f64> {
        let drive = self.drive()?;
        let chain = drive.chain.as_ref().ok_or_else(|| missing("drive", Drive::chain, "machine"))?;
        self.rests_on(chain.span);
        chain::pitch(chain.text.trim())
            .ok_or_else(|| cannot(say!("ISO 10190 lists no chain `{chain}`", chain = chain.text)))
    }

    /// The gearing in a stance: as set, the standard one, or that of the last change.
    pub(super) fn gearing(&self, stance: Stance) -> Got<Gearing> {
        let get = |name: Setting| self.setting_in(stance, name);
        let front = self.teeth(Setting::DRIVE_FRONT, get(Setting::DRIVE_FRONT)?)?;
        let rear = self.teeth(Setting::DRIVE_REAR, get(Setting::DRIVE_REAR)?)?;
        let links = if_unwritten(get(Setting::DRIVE_LINKS))?.and_then(|links| whole(links.value()));
        Ok(Gearing {
            chain: Chain { pitch: self.chain_pitch()?, front_teeth: front, rear_teeth: rear },
            links,
        })
    }

    /// Rear teeth over front teeth.
    pub(super) fn drive_ratio(&self) -> Got<R::Number> {
        Ok(self.setting(Setting::DRIVE_REAR)? / self.setting(Setting::DRIVE_FRONT)?)
    }

    /// The countershaft seen from the swingarm pivot, in m.
    pub(super) fn countershaft(&self) -> Got<Point<R::Number>> {
        let machine = self.machine()?;
        let frame = machine.frame().ok_or_else(|| missing("frame", Frame::countershaft_ahead, "machine"))?;
        let origin = |key| Origin { header: &frame.header, key };
        let ahead =
            frame.countershaft_ahead.ok_or_else(|| missing("frame", Frame::countershaft_ahead, "machine"))?;
        let above =
            frame.countershaft_above.ok_or_else(|| missing("frame", Frame::countershaft_above, "machine"))?;
        Ok(Point {
            x: self.given(&ahead, origin(Frame::countershaft_ahead)),
            y: self.given(&above, origin(Frame::countershaft_above)),
        })
    }

    /// Droop of the swingarm in the chassis, bottomed and fully extended, in rad. Where travel or frame are not
    /// known, the chain's tightest place counts as within the travel.
    fn droops(&self) -> Option<(R::Number, R::Number)> {
        let reference = self.reference().ok()?;
        let travel = self.travel(End::Rear).ok()?;
        Some((reference.droop(travel).ok()?, reference.droop(R::Number::constant(0.0)).ok()?))
    }

    fn place(&self, gearing: &Gearing) -> Got<R::Number> {
        let links = gearing.links.ok_or_else(|| missing("drive", Drive::links, "machine"))?;
        gearing
            .chain
            .axle_place(links, self.countershaft()?, self.droops())
            .ok_or_else(|| cannot(say!("{links} links do not go round these sprockets", links)))
    }

    /// How far back the axle is from its place with the standard gearing, in m.
    pub(super) fn axle_move(&self) -> Got<R::Number> {
        self.part(Part::AxleMove, |bench| bench.axle_move_of(Stance::AsSet))
    }

    /// The same with the gearing of a stance.
    pub(super) fn axle_move_of(&self, stance: Stance) -> Got<R::Number> {
        let (set, standard) = (self.gearing(stance)?, self.gearing(Stance::Standard)?);
        if set == standard {
            return Ok(R::Number::constant(0.0));
        }
        Ok(self.place(&set)? - self.place(&standard)?)
    }

    /// The same with the gearing when the rear rider sag was read.
    pub(super) fn axle_move_then(&self) -> Got<R::Number> {
        let then = |name: Setting| {
            let held = self.here.state.setting_at_sag(End::Rear, name);
            held.map_or_else(|| self.setting(name), |held| self.held(name, held))
        };
        let front = self.teeth(Setting::DRIVE_FRONT, then(Setting::DRIVE_FRONT)?)?;
        let rear = self.teeth(Setting::DRIVE_REAR, then(Setting::DRIVE_REAR)?)?;
        let links = then(Setting::DRIVE_LINKS).ok().and_then(|links| whole(links.value()));
        let then = Gearing {
            chain: Chain { pitch: self.chain_pitch()?, front_teeth: front, rear_teeth: rear },
            links,
        };
        Ok(self.place(&then)? - self.place(&self.gearing(Stance::Standard)?)?)
    }

    /// Distance from the pivot at which the chain as set is just taut, in m.
    pub fn axle_place(&self) -> Got<R::Number> {
        self.place(&self.gearing(Stance::AsSet)?)
    }

    /// Links that the sprockets need with the axle at its place with the standard gearing.
    pub(super) fn links_needed(&self) -> Got<R::Number> {
        let (set, standard) = (self.gearing(Stance::AsSet)?, self.gearing(Stance::Standard)?);
        let links = standard.links.ok_or_else(|| missing("drive", Drive::links, "machine"))?;
        // At the chain's tightest place, in line or at the end of the travel, the sprockets are as far apart as
        // the standard chain holds them. That place does not depend on which sprockets they are.
        let centres = standard.chain.centres(links);
        let centres =
            centres.ok_or_else(|| cannot(say!("{links} links do not go round these sprockets", links)))?;
        set.chain
            .links(R::Number::constant(centres))
            .ok_or_else(|| cannot(say!("the sprockets would overlap")))
    }

    /// Road speed at the rev limit in a gear counted from 1, in m/s.
    pub(super) fn speed(&self, gear: u8) -> Got<R::Number> {
        let drive = self.drive()?;
        let origin = |key| Origin { header: &drive.header, key };
        let gears = drive.gears.as_ref().ok_or_else(|| missing("drive", Drive::gears, "machine"))?;
        let ratio = usize::from(gear).checked_sub(1).and_then(|gear| gears.values.get(gear));
        let ratio =
            ratio.ok_or_else(|| cannot(say!("the machine has {count} gears", count = gears.values.len())))?;
        let primary = drive.primary.ok_or_else(|| missing("drive", Drive::primary, "machine"))?;
        let limit = drive.rev_limit.ok_or_else(|| missing("drive", Drive::rev_limit, "machine"))?;
        Ok(gearing::road_speed(
            self.given(&limit, origin(Drive::rev_limit)),
            self.radius(End::Rear)?,
            self.given(&primary, origin(Drive::primary)),
            self.given(ratio, origin(Drive::gears)),
            self.drive_ratio()?,
        ))
    }

    /// How many gears speeds can be given for.
    pub(super) fn gear_count(&self) -> usize {
        self.drive().ok().and_then(|drive| drive.gears.as_ref()).map_or(0, |gears| gears.values.len())
    }
}
