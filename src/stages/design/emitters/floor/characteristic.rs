//! What a floor is worth at one spacing, under one covering: by the standard of its kind, and by conduction.

use super::sections;
use super::site::Site;
use crate::catalogue::products::BoardOutput;
use crate::job::heated_floors::DesignOn;
use crate::methods::en_1264_2::{self, TypeA};
use crate::methods::floor_circuit::{Law, State, least_limit};
use crate::methods::floor_conduction::{Pipe, Section, Solution};
use crate::methods::iso_11855_2::{self, TypeB, TypeD};
use crate::methods::{Budget, MethodError, Off, Workings, en_1264_3, last_steps, tested_floor};
use crate::notes::{Field, Value, Values};
use crate::sources::{FOURIER, Source};
use crate::survey::{FloorSystem, FloorTube, HeatedFloor, Plate};

/// Slope, limits and conduction of a floor, or of a zone of it, at one spacing under one covering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Characteristic {
    /// Slope KH of its standard or test, and where neither reaches that of conduction behind a film that resists nothing (W/(m²K)).
    pub kh_w_m2k: f64,
    /// Where the tables of its standard end, for a floor that goes by conduction alone.
    pub beyond: Option<Beyond>,
    /// Resistance from the pipes up (m²K/W).
    pub upward_m2k_w: f64,
    /// Greatest output by the limits of the standard, and where it does not reach by the mean surface alone (W/m²).
    pub standard_limit_w_m2: f64,
    /// Its section solved, where conduction is.
    pub solution: Option<Solution>,
    /// Greatest output by what the floor is designed on (W/m²).
    pub limit_w_m2: f64,
}

/// Where the tables of a floor's kind end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// The quantity that lies outside of them, with its unit.
    pub quantity: &'static str,
    /// What it is.
    pub value: f64,
    /// Least that they hold.
    pub min: f64,
    /// Greatest that they hold.
    pub max: f64,
    /// The document that they stand in.
    pub published: &'static Source,
}

impl Beyond {
    /// Of an error that says it; nothing of every other.
    pub(super) fn of(error: &MethodError) -> Option<Self> {
        match *error {
            MethodError::OutOfRange { quantity, value, min, max, published } => {
                Some(Self { quantity, value, min, max, published })
            }
            MethodError::Impossible { .. }
            | MethodError::NotConverged { .. }
            | MethodError::TooMuchWork { .. }
            | MethodError::OutOfTime => None,
        }
    }

    /// The error that says it.
    fn error(self) -> MethodError {
        let Self { quantity, value, min, max, published } = self;
        MethodError::OutOfRange { quantity, value, min, max, published }
    }
}

impl<C: ?Sized> Field<C> for Beyond {
    type Said<'f>
        = MethodError
    where
        C: 'f;

    fn names(_: &'static str) -> Vec<&'static str> {
        vec!["quantity", "value", "holds_from", "holds_to"]
    }

    fn said<'f>(&'f self, _: &'f C) -> MethodError {
        self.error()
    }

    fn put(&self, _: &'static str, _: &C, values: &mut Values) {
        values.put("quantity", Value::Word(self.quantity.into()));
        for (name, figure) in [("value", self.value), ("holds_from", self.min), ("holds_to", self.max)] {
            values.put(name, Value::Figure(figure));
        }
    }
}

/// How far conduction is asked for a floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Conduct {
    /// Not at all.
    No,
    /// Beside the standard, which must reach.
    Beside,
    /// Also where the standard does not reach.
    AlsoBeyond,
}

/// What of a floor may differ from zone to zone, and from question to question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Spacing (m).
    pub spacing_m: f64,
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Highest surface temperature (°C).
    pub surface_limit_c: f64,
}

/// The tube as conduction sees it.
pub(super) fn pipe(tube: &FloorTube) -> Pipe {
    let FloorTube { outside_m, wall_m, conductivity_w_mk, sheath, .. } = *tube;
    Pipe { outside_m, wall_m, conductivity_w_mk, sheath }
}

impl Characteristic {
    /// Reckons a floor. Conduction is left out where nobody asks for it.
    pub(super) fn compute<W: Workings>(
        floor: &HeatedFloor,
        site: &Site,
        way: Way,
        (conduct, budget): (Conduct, &Budget),
        w: &mut W,
    ) -> Result<Self, MethodError> {
        let Way { covering_m2k_w, surface_limit_c, .. } = way;
        let room_c = site.room_c;
        if surface_limit_c <= room_c {
            return Err(MethodError::Impossible {
                reason: "a floor that may be no warmer than its room gives nothing",
            });
        }
        let solution = match floor.system {
            FloorSystem::InScreed(under_m) if conduct > Conduct::No => {
                w.cite(&FOURIER);
                Some(sections::solved(&section(floor, site, way, under_m), budget)?)
            }
            FloorSystem::InScreed(_)
            | FloorSystem::UnderPlates(_)
            | FloorSystem::PlaneSection
            | FloorSystem::TestedBoards { .. } => None,
        };
        let mut to_limit = w.within("limit_w_m2");
        let surface_w_m2 = en_1264_2::output_at_surface_excess(surface_limit_c - room_c, &mut to_limit);
        drop(to_limit);
        let slope = slope(floor, way, &mut w.within("capacity_w"));
        let standard = slope
            .and_then(|kh_w_m2k| Ok((kh_w_m2k, curve(floor, way, kh_w_m2k, room_c, &mut w.within("limit_w_m2"))?)));
        let ((kh_w_m2k, curve_w_m2), beyond) = match (standard, &solution) {
            (Ok(standard), _) => (standard, None),
            (Err(error), Some(Solution { response, .. })) if conduct == Conduct::AlsoBeyond => {
                let beyond = Beyond::of(&error).ok_or(error)?;
                let bare = response.behind_pipe(pipe(&floor.tube).resistance_m2k_w(f64::INFINITY));
                ((bare.slope_w_m2k(), None), Some(beyond))
            }
            (Err(error), _) => return Err(error),
        };
        let mut to_limit = w.within("limit_w_m2");
        let standard_limit_w_m2 = match curve_w_m2 {
            Some(curve_w_m2) => last_steps::within_limit(curve_w_m2, surface_w_m2, &mut to_limit),
            None => surface_w_m2,
        };
        let limit_w_m2 = match (goes_by(floor, beyond), &solution) {
            (DesignOn::Standard {}, _) | (DesignOn::Conduction {} | DesignOn::Lower {}, None) => standard_limit_w_m2,
            (DesignOn::Conduction {}, Some(Solution { response, .. })) => {
                let spot_w_m2 = response.output_at_surface(surface_limit_c, room_c, site.below_c);
                least_limit(standard_limit_w_m2, spot_w_m2, spot_w_m2, &mut to_limit)
            }
            (DesignOn::Lower {}, Some(Solution { response, .. })) => {
                let spot_w_m2 = response.output_at_surface(surface_limit_c, room_c, site.below_c);
                // where the standard gives less, the water that it asks for must not warm the surface beyond its limit
                let bare = response.behind_pipe(pipe(&floor.tube).resistance_m2k_w(f64::INFINITY));
                let excess_k = bare.excess_at_surface(surface_limit_c, room_c, site.below_c);
                let water_w_m2 = en_1264_2::output(kh_w_m2k, excess_k, &mut Off);
                least_limit(standard_limit_w_m2, spot_w_m2, water_w_m2, &mut to_limit)
            }
        };
        drop(to_limit);
        let mut to_downward = w.within("downward_w");
        let upward_m2k_w = match floor.system {
            FloorSystem::TestedBoards { .. } => tested_floor::upward_resistance(kh_w_m2k, &mut to_downward),
            FloorSystem::InScreed(_) | FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection => {
                let (cover_m, screed_w_mk) = (floor.cover_m, floor.screed_w_mk);
                en_1264_3::upward_resistance(covering_m2k_w, cover_m, screed_w_mk, &mut to_downward)
            }
        };
        drop(to_downward);
        Ok(Self { kh_w_m2k, beyond, upward_m2k_w, standard_limit_w_m2, solution, limit_w_m2 })
    }

    /// What a zone gives that runs so, within its limits (W/m²).
    pub(super) fn within_limit(&self, free: &State) -> f64 {
        free.output_w_m2.min(self.limit_w_m2)
    }

    /// The laws that the floor is designed on.
    pub(super) fn laws<'l>(&'l self, floor: &HeatedFloor, site: &'l Site) -> Vec<Law<'l>> {
        let standard = Law::Slope { kh_w_m2k: self.kh_w_m2k, upward_m2k_w: self.upward_m2k_w, below: &site.below };
        let conduction = self.solution.as_ref().map(|solution| Law::Conduction {
            response: &solution.response,
            pipe: pipe(&floor.tube),
            below_c: site.below_c,
        });
        match (goes_by(floor, self.beyond), conduction) {
            (DesignOn::Standard {}, _) | (DesignOn::Conduction {} | DesignOn::Lower {}, None) => vec![standard],
            (DesignOn::Conduction {}, Some(conduction)) => vec![conduction],
            (DesignOn::Lower {}, Some(conduction)) => vec![standard, conduction],
        }
    }
}

/// What a floor is designed on: conduction alone where the tables of its standard end.
fn goes_by(floor: &HeatedFloor, beyond: Option<Beyond>) -> &DesignOn {
    if beyond.is_some() { &DesignOn::Conduction {} } else { &floor.design_on }
}

/// Slope KH by the standard of the floor's kind, or by its test (W/(m²K)).
pub(super) fn slope<W: Workings>(floor: &HeatedFloor, way: Way, w: &mut W) -> Result<f64, MethodError> {
    let Way { covering_m2k_w, .. } = way;
    let (cover_m, cover_w_mk) = (floor.cover_m, floor.screed_w_mk);
    match &floor.system {
        FloorSystem::InScreed(_) => Ok(en_1264_2::characteristic(&type_a(floor, way), w)?.kh_w_m2k),
        FloorSystem::UnderPlates(plate) => Ok(iso_11855_2::type_b(&type_b(floor, plate, way), w)?.kh_w_m2k),
        FloorSystem::PlaneSection => {
            Ok(iso_11855_2::type_d(&TypeD { cover_m, cover_w_mk, covering_m2k_w }, w)?.kh_w_m2k)
        }
        FloorSystem::TestedBoards { outputs, .. } => {
            let row = |row: &BoardOutput| tested_floor::Slope {
                covering_m2k_w: row.covering_m2k_w,
                kh_w_m2k: row.output_w_m2k,
            };
            tested_floor::slope(&outputs.iter().map(row).collect::<Vec<_>>(), covering_m2k_w, w)
        }
    }
}

fn type_b(floor: &HeatedFloor, plate: &Plate, way: Way) -> TypeB {
    TypeB {
        spacing_m: way.spacing_m,
        cover_m: floor.cover_m,
        cover_w_mk: floor.screed_w_mk,
        covering_m2k_w: way.covering_m2k_w,
        pipe_outside_m: floor.tube.outermost_m(),
        plate_m: plate.thickness_m,
        plate_w_mk: plate.conductivity_w_mk,
        plate_width_m: plate.width_m.min(way.spacing_m),
    }
}

/// Characteristic value KWL of plates that conduct better than their table reaches.
pub(super) fn plates_beyond(floor: &HeatedFloor, way: Way) -> Option<f64> {
    let FloorSystem::UnderPlates(plate) = &floor.system else { return None };
    let found = iso_11855_2::type_b(&type_b(floor, plate, way), &mut Off).ok()?;
    Some(found.conduction).filter(|conduction| *conduction > iso_11855_2::CONDUCTION.max)
}

/// Limit curve of the floor's kind (W/m²). Types B and D have none that is known here.
fn curve<W: Workings>(
    floor: &HeatedFloor,
    way: Way,
    kh_w_m2k: f64,
    room_c: f64,
    w: &mut W,
) -> Result<Option<f64>, MethodError> {
    match &floor.system {
        FloorSystem::InScreed(_) => {
            let limit = en_1264_2::limit(&type_a(floor, way), kh_w_m2k, way.surface_limit_c, room_c, w)?;
            Ok(Some(limit.limit_w_m2))
        }
        FloorSystem::TestedBoards { outputs, .. } => {
            let row = |row: &BoardOutput| tested_floor::Limit {
                covering_m2k_w: row.covering_m2k_w,
                limit_w_m2: row.limit_w_m2,
            };
            let rows: Vec<_> = outputs.iter().map(row).collect();
            tested_floor::limit(&rows, way.covering_m2k_w, way.surface_limit_c, room_c, w).map(Some)
        }
        FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection => Ok(None),
    }
}

fn type_a(floor: &HeatedFloor, way: Way) -> TypeA {
    TypeA {
        spacing_m: way.spacing_m,
        cover_m: floor.cover_m,
        cover_w_mk: floor.screed_w_mk,
        covering_m2k_w: way.covering_m2k_w,
        pipe_outside_m: floor.tube.outside_m,
        pipe_wall_m: floor.tube.wall_m,
        pipe_w_mk: floor.tube.conductivity_w_mk,
        sheath: floor.tube.sheath,
    }
}

pub(super) fn section(floor: &HeatedFloor, site: &Site, way: Way, under_m: f64) -> Section {
    Section {
        spacing_m: way.spacing_m,
        pipe: pipe(&floor.tube),
        film_w_m2k: f64::INFINITY,
        under_m,
        cover_m: floor.cover_m,
        screed_w_mk: floor.screed_w_mk,
        covering_m2k_w: way.covering_m2k_w,
        surface_w_m2k: en_1264_2::FLOOR_W_M2K,
        below_m2k_w: site.below_m2k_w,
    }
}
