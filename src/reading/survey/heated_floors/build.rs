//! What a heated floor is built of: its system, screed and tube.

use super::{FloorSystem, FloorTube, Plate};
use crate::catalogue::binder::Binder;
use crate::catalogue::products::Product;
use crate::intake::{Fault, FaultCode};
use crate::job::heated_floors::{FloorSystem as Written, Screed};
use crate::methods::en_1264_2::{COVER, Sheath};
use crate::notes::{Filled, Term, Value};
use crate::survey::Gathering;
use crate::survey::assumed::FilledFloor;

/// Least cover over a pipe (m), EN 1264-2.
const LEAST_COVER_M: f64 = COVER.min;

impl Gathering<'_> {
    pub(super) fn floor_system(
        &mut self,
        at: &str,
        written: Option<&Written>,
        pipe_height_mm: Option<f64>,
    ) -> Option<FloorSystem> {
        let raised = pipe_height_mm.is_some_and(|height_mm| height_mm > 0.0);
        let system = match written {
            None | Some(Written::InScreed {}) => {
                return Some(FloorSystem::InScreed(pipe_height_mm.unwrap_or(0.0) / 1000.0));
            }
            Some(Written::PlaneSection {}) => Some(FloorSystem::PlaneSection),
            Some(Written::UnderPlates { plate }) => match self.book.find(plate) {
                Some((product, Product::ConductingPlate { thickness_mm, conductivity_w_mk, width_mm, .. })) => {
                    Some(FloorSystem::UnderPlates(Plate {
                        product,
                        thickness_m: thickness_mm / 1000.0,
                        conductivity_w_mk: *conductivity_w_mk,
                        width_m: width_mm / 1000.0,
                    }))
                }
                Some(_) | None => {
                    self.unknown_product(&format!("{at}/system/plate"), plate, "conducting plate");
                    None
                }
            },
            Some(Written::TestedBoards { board }) => match self.book.find(board) {
                Some((product, Product::FloorBoard { outputs, with_screed, .. })) => {
                    Some(FloorSystem::TestedBoards { product, outputs: outputs.clone(), with_screed: *with_screed })
                }
                Some(_) | None => {
                    self.unknown_product(&format!("{at}/system/board"), board, "floor board");
                    None
                }
            },
        };
        if raised {
            let detail = "only a pipe in the screed lies at a height above the insulation";
            self.faults.push(Fault::new(format!("{at}/pipe_height_mm"), FaultCode::NoScreedUnderPipe, detail));
        }
        system
    }

    /// Cover above the pipe (m) and conductivity of the screed (W/(mK)).
    pub(super) fn screed(
        &mut self,
        at: &str,
        written: Option<&Screed>,
        system: &FloorSystem,
        tube: &FloorTube,
        filled: &mut Filled<FilledFloor>,
    ) -> (f64, f64) {
        let Some(screed) = written else {
            if matches!(system, FloorSystem::TestedBoards { with_screed: false, .. }) {
                return (0.0, 1.0);
            }
            let detail = "underfloor heating needs a screed, unless it is laid of tested boards that carry none";
            let fault = Fault::new(at, FaultCode::ScreedMissing, detail).rests_on(format!("{at}/screed"));
            self.faults.push(fault.rests_on(format!("{at}/system")));
            return (0.0, 1.0);
        };
        let (at, system_at) = (format!("{at}/screed"), format!("{at}/system"));
        if matches!(system, FloorSystem::TestedBoards { with_screed: false, .. }) {
            let detail = "these boards are tested without a screed, and none is laid on them";
            self.faults.push(Fault::new(at, FaultCode::ScreedOnDryBoards, detail).rests_on(system_at));
            return (0.0, 1.0);
        }
        let defaults = &self.catalogue.defaults;
        let binder = screed.binder.unwrap_or_else(|| {
            let binder = defaults.screed_binder.value;
            filled.value(
                "binder",
                Value::Word(binder.code().into()),
                format!("a screed bound with {}", binder.words()),
            );
            binder
        });
        let (cover, conductivity) = match binder {
            Binder::Cement => (&defaults.cement_screed_cover_mm, &defaults.cement_screed_w_mk),
            Binder::CalciumSulphate => {
                (&defaults.calcium_sulphate_screed_cover_mm, &defaults.calcium_sulphate_screed_w_mk)
            }
        };
        let screed_w_mk = screed.conductivity_w_mk.unwrap_or_else(|| {
            let words = format!("a screed of {} W/(mK) ({})", conductivity.value, conductivity.told());
            filled.figure("conductivity_w_mk", conductivity.value, words);
            conductivity.provenance.tell(filled);
            conductivity.value
        });
        let (under_m, pipe_m) = match system {
            FloorSystem::InScreed(under_m) => (*under_m, tube.outermost_m()),
            FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection | FloorSystem::TestedBoards { .. } => (0.0, 0.0),
        };
        let cover_m = match (screed.cover_mm, screed.thickness_mm) {
            (Some(_), Some(_)) => {
                let detail = "give the cover over the pipe or the whole thickness of the screed, not both";
                self.faults.push(Fault::new(at, FaultCode::TwoThicknesses, detail));
                return (0.0, screed_w_mk);
            }
            (Some(cover_mm), None) => cover_mm / 1000.0,
            (None, Some(thickness_mm)) => {
                let left_m = thickness_mm / 1000.0 - under_m - pipe_m;
                if left_m < LEAST_COVER_M - 1e-9 {
                    let taken_mm = 1000.0 * (under_m + pipe_m);
                    let detail = format!(
                        "the pipe ends {taken_mm:.0} mm above the insulation, and the screed is {thickness_mm} mm thick: at least {:.0} mm must cover it",
                        1000.0 * LEAST_COVER_M
                    );
                    let fault = Fault::new(format!("{at}/thickness_mm"), FaultCode::PipeThickerThanScreed, detail);
                    self.faults.push(fault.limit(taken_mm + 1000.0 * LEAST_COVER_M));
                }
                left_m.max(LEAST_COVER_M)
            }
            (None, None) => {
                let words = format!("{} mm of screed over the pipe ({})", cover.value, cover.told());
                filled.figure("cover_mm", cover.value, words);
                cover.provenance.tell(filled);
                cover.value / 1000.0
            }
        };
        (cover_m, screed_w_mk)
    }

    /// Spacings that may be laid, widest first (m). Boards have the one of their grooves.
    pub(super) fn spacings(
        &self,
        given_mm: impl Iterator<Item = f64>,
        system: Option<&FloorSystem>,
        filled: &mut Filled<FilledFloor>,
    ) -> Vec<f64> {
        if let Some(FloorSystem::TestedBoards { product, .. }) = system {
            if let (_, Product::FloorBoard { spacing_mm, .. }) = self.book.product(*product) {
                return vec![spacing_mm / 1000.0];
            }
        }
        let mut spacings_m: Vec<f64> = given_mm.map(|spacing_mm| spacing_mm / 1000.0).collect();
        if spacings_m.is_empty() {
            let defaults = &self.catalogue.defaults;
            let (least_mm, most_mm) = (defaults.floor_spacing_least_mm.value, defaults.floor_spacing_most_mm.value);
            let step_mm = defaults.floor_spacing_step_mm.value;
            filled.words(format!("spacings of {least_mm} to {most_mm} mm in steps of {step_mm}"));
            let figures = [("spacing_least_mm", least_mm), ("spacing_most_mm", most_mm), ("spacing_step_mm", step_mm)];
            for (name, figure) in figures {
                filled.put(name, Value::Figure(figure));
            }
            let steps = std::iter::successors(Some(least_mm), |spacing_mm| Some(spacing_mm + step_mm));
            spacings_m =
                steps.take_while(|spacing_mm| *spacing_mm <= most_mm).map(|spacing_mm| spacing_mm / 1000.0).collect();
        }
        spacings_m.sort_by(|a, b| b.total_cmp(a));
        spacings_m
    }

    pub(super) fn floor_tube(&mut self, at: &str, code: &str) -> Option<FloorTube> {
        match self.book.find(code) {
            Some((
                product,
                Product::FloorTube {
                    outside_diameter_mm,
                    wall_mm,
                    conductivity_w_mk,
                    roughness_mm,
                    sheath_outside_diameter_mm,
                    sheath_conductivity_w_mk,
                    ..
                },
            )) => Some(FloorTube {
                product,
                outside_m: outside_diameter_mm / 1000.0,
                wall_m: wall_mm / 1000.0,
                conductivity_w_mk: *conductivity_w_mk,
                roughness_m: roughness_mm / 1000.0,
                sheath: sheath_outside_diameter_mm.zip(*sheath_conductivity_w_mk).map(
                    |(outside_mm, conductivity_w_mk)| Sheath { outside_m: outside_mm / 1000.0, conductivity_w_mk },
                ),
            }),
            Some(_) | None => {
                self.unknown_product(at, code, "floor tube");
                None
            }
        }
    }
}
