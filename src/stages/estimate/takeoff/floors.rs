//! What heated floors are laid of.

use super::{TakeOff, entry, packs};
use crate::catalogue::products::Product;
use crate::design::pipework::TubeCutting;
use crate::design::plant::Plant;
use crate::estimate::Design;
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::methods::math::round_significant;
use crate::survey::{EmitterAt, FLOOR_BUILD, FloorSystem, HEATING, HeatedFloor, Room, Survey};

impl TakeOff {
    pub(super) fn floors(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let mut boards: Vec<(Index<Product>, f64)> = Vec::new();
        let mut plates: Vec<(Index<Product>, f64)> = Vec::new();
        let mut screeds: Vec<(Index<Product>, f64)> = Vec::new();
        let mut perimeter_m = 0.0;
        let (mut separated_m2, mut upstands_m2) = (0.0, 0.0);
        for (at, floor, _) in design.emitters.floors() {
            let room = at.room;
            let Some(written) = survey.emitter(at).floor() else { continue };
            let area_m2 = survey.rooms[room].floor_area_m2;
            self.quantities.floor_m2 += area_m2;
            self.quantities.loop_m += floor.tube_m();
            if written.has_screed() {
                perimeter_m += survey.rooms[room].perimeter_m;
            }
            match &written.system {
                FloorSystem::TestedBoards { product, .. } => *entry(&mut boards, *product) += area_m2,
                FloorSystem::UnderPlates(plate) => *entry(&mut plates, plate.product) += written.whole_m2(),
                FloorSystem::InScreed(_) | FloorSystem::PlaneSection => {}
            }
            if !matches!(written.system, FloorSystem::TestedBoards { .. }) {
                if let Some(board) = self.board(survey, room) {
                    *entry(&mut boards, board) += area_m2;
                }
            }
            if written.needs_separating_layer() {
                separated_m2 += area_m2;
                upstands_m2 += survey.rooms[room].perimeter_m * written.screed_m();
            }
            if written.has_screed() {
                self.quantities.screed_m2 += area_m2;
                if let Some(screed) = self.screed(survey, written) {
                    *entry(&mut screeds, screed) += area_m2 * written.screed_m();
                }
            }
        }
        if self.quantities.floor_m2 <= 0.0 {
            return;
        }
        self.manifolds(survey, design.plant);
        self.thermostats(design);
        design.pipework.cuttings.iter().for_each(|tube| self.coils(tube));
        let waste = 1.0 + survey.book.waste.boards;
        for (board, area_m2) in boards {
            let (pack_m2, why) = match survey.book.product(board) {
                (_, Product::InsulationBoard { pack_m2, .. }) => (*pack_m2, ", no thinner than the floor's insulation"),
                (_, Product::FloorBoard { pack_m2, .. }) => (*pack_m2, ""),
                _ => continue,
            };
            let from = format!("{area_m2:.1} m2 x {waste} / {pack_m2}{why}");
            self.add(board, packs(area_m2 * waste, pack_m2), FLOOR_BUILD, from);
        }
        for (plate, area_m2) in plates {
            if let (_, Product::ConductingPlate { pack_m2, .. }) = survey.book.product(plate) {
                let from = format!("{area_m2:.1} m2 x {waste} / {pack_m2}");
                self.add(plate, packs(area_m2 * waste, *pack_m2), FLOOR_BUILD, from);
            }
        }
        if separated_m2 > 0.0 {
            self.separating_layer(survey, separated_m2, upstands_m2);
        }
        if perimeter_m > 0.0 {
            self.edge_strip(survey, perimeter_m);
        }
        for (screed, volume_m3) in screeds {
            if let (_, Product::Screed { step_m3, .. }) = survey.book.product(screed) {
                let quantity = round_significant(packs(volume_m3, *step_m3) * step_m3, 9);
                self.add(screed, quantity, FLOOR_BUILD, format!("{volume_m3:.4} m3, up to the next {step_m3}"));
            }
        }
    }

    fn manifolds(&mut self, survey: &Survey, plant: &Plant) {
        let mut chosen: Vec<(Index<Product>, f64)> = Vec::new();
        for &manifold in plant.manifolds.iter().flatten() {
            self.quantities.manifolds += 1.0;
            *entry(&mut chosen, survey.offer.manifolds[manifold].product) += 1.0;
        }
        for (product, count) in chosen {
            self.add(product, count, HEATING, "smallest with an outlet for every loop".to_owned());
        }
        if self.quantities.manifolds > 0.0 {
            if let Some(limiter) =
                self.first(survey, Wanted::FlowLimiter, |product| matches!(product, Product::FlowLimiter { .. }))
            {
                let why =
                    if self.quantities.screed_m2 > 0.0 { "one a manifold (screed limit)" } else { "one a manifold" };
                self.add(limiter, self.quantities.manifolds, HEATING, why.to_owned());
            }
        }
    }

    /// Room thermostats of heated floors, with an actuator for each of their loops.
    fn thermostats(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let has = |at: EmitterAt| survey.emitter(at).floor().is_some_and(|floor| floor.has_thermostat);
        let with: Vec<u32> =
            design.emitters.floors().filter(|(at, ..)| has(*at)).map(|(_, floor, _)| floor.loop_count()).collect();
        if with.is_empty() {
            return;
        }
        let rooms = f64::from(u32::try_from(with.len()).unwrap_or(u32::MAX));
        self.quantities.room_thermostats += rooms;
        let is_thermostat = |product: &Product| matches!(product, Product::RoomThermostat { .. });
        if let Some(thermostat) = self.first(survey, Wanted::RoomThermostat, is_thermostat) {
            self.add(thermostat, rooms, HEATING, "one a floor that has its own".to_owned());
        }
        let is_actuator = |product: &Product| matches!(product, Product::LoopActuator { .. });
        if let Some(actuator) = self.first(survey, Wanted::LoopActuator, is_actuator) {
            let loops = f64::from(with.iter().sum::<u32>());
            self.add(actuator, loops, HEATING, "one a loop behind a room thermostat".to_owned());
        }
    }

    /// The coils that a tube's loops are cut from.
    fn coils(&mut self, tube: &TubeCutting) {
        let Some(cutting) = &tube.cutting else {
            let loop_m = tube.loops.iter().map(|one| one.length_m).fold(0.0, f64::max);
            self.unmet.push(Unmet::Coil { loop_m, coil_m: tube.longest_m });
            return;
        };
        for (coil, &(product, coil_m)) in tube.coils.iter().enumerate() {
            let of_this = || cutting.cuts.iter().filter(|cut| cut.coil == coil);
            let count: usize = of_this().map(|cut| cut.loops.len()).sum();
            let total_m: f64 = of_this().flat_map(|cut| &cut.loops).map(|&index| tube.loops[index].length_m).sum();
            let from = format!("{count} loops, {total_m:.1} m in all, none joined, coils of {coil_m} m");
            self.add(product, f64::from(u32::try_from(of_this().count()).unwrap_or(u32::MAX)), HEATING, from);
        }
    }

    /// The layer lies over the boards, goes up the walls as high as the screed, and laps.
    fn separating_layer(&mut self, survey: &Survey, floor_m2: f64, upstands_m2: f64) {
        let is_layer = |product: &Product| matches!(product, Product::SeparatingLayer { .. });
        let layer = self.first(survey, Wanted::SeparatingLayer, is_layer);
        if let Some((index, Product::SeparatingLayer { pack_m2, .. })) =
            layer.map(|index| (index, survey.book.product(index).1))
        {
            let laps = 1.0 + survey.defaults.separating_layer_laps.value;
            let from = format!(
                "({floor_m2:.1} m2 of floor + {upstands_m2:.1} m2 of upstands) x {laps} for laps (common practice, without a source) / {pack_m2}"
            );
            self.add(index, packs((floor_m2 + upstands_m2) * laps, *pack_m2), FLOOR_BUILD, from);
        }
    }

    fn edge_strip(&mut self, survey: &Survey, perimeter_m: f64) {
        let strip = self.first(survey, Wanted::EdgeStrip, |product| matches!(product, Product::EdgeStrip { .. }));
        let Some((index, pack_m)) = strip.and_then(|index| match survey.book.product(index) {
            (_, Product::EdgeStrip { pack_m, .. }) => Some((index, *pack_m)),
            _ => None,
        }) else {
            return;
        };
        self.add(index, packs(perimeter_m, pack_m), FLOOR_BUILD, format!("{perimeter_m:.1} m / {pack_m}"));
    }

    /// The thinnest board that is no thinner than the insulation of the floor's construction; where that names no
    /// thickness, the thinnest on offer, which the survey notes. A board that names no thickness fits every floor.
    fn board(&mut self, survey: &Survey, room: Index<Room>) -> Option<Index<Product>> {
        let wanted_mm = insulation_mm(survey, room);
        let thickness_mm = |product: &Product| {
            let Product::InsulationBoard { thickness_mm, .. } = product else { return None };
            Some(thickness_mm.unwrap_or(wanted_mm))
        };
        let least_mm = wanted_mm - survey.defaults.board_thinner_mm.value;
        let thin = |product: &Product| thickness_mm(product).filter(|mm| *mm >= least_mm);
        if survey.book.products.values().any(|product| thin(product).is_some()) {
            return self.nearest(survey, Wanted::InsulationBoard, thin);
        }
        let thickest = self.nearest(survey, Wanted::InsulationBoard, |product| thickness_mm(product).map(|mm| -mm));
        if let Some(reached_mm) = thickest.and_then(|index| thickness_mm(survey.book.product(index).1)) {
            self.unmet.push(Unmet::Board { room, need_mm: wanted_mm, reached_mm });
        }
        thickest
    }

    /// The screed nearest in conductivity to the one that the floor was designed with, among those of its binder or of
    /// none named; among all where none is, which is unmet.
    fn screed(&mut self, survey: &Survey, floor: &HeatedFloor) -> Option<Index<Product>> {
        let far = |product: &Product| {
            let Product::Screed { conductivity_w_mk, .. } = product else { return None };
            Some(conductivity_w_mk.map_or(0.0, |w_mk| (w_mk - floor.screed_w_mk).abs()))
        };
        let of_binder = |product: &Product| {
            let Product::Screed { binder, .. } = product else { return None };
            far(product).filter(|_| binder.is_none_or(|binder| binder == floor.binder))
        };
        if survey.book.products.values().any(|product| of_binder(product).is_some()) {
            return self.nearest(survey, Wanted::Screed, of_binder);
        }
        let other = self.nearest(survey, Wanted::Screed, far)?;
        self.want(Unmet::ScreedBinder { binder: floor.binder });
        Some(other)
    }

    fn nearest(
        &mut self,
        survey: &Survey,
        wanted: Wanted,
        far: impl Fn(&Product) -> Option<f64>,
    ) -> Option<Index<Product>> {
        let found = survey
            .book
            .enumerate()
            .filter_map(|(index, product)| Some((index, far(product)?)))
            .min_by(|(_, a), (_, b)| a.total_cmp(b));
        if found.is_none() {
            self.want(Unmet::Product { product: wanted });
        }
        found.map(|(index, _)| index)
    }
}

/// Thickness of the insulation in what lies under most of a room's floor (mm); 0 where the job names none.
fn insulation_mm(survey: &Survey, room: Index<Room>) -> f64 {
    let largest = survey.rooms[room].undersides.iter().max_by(|a, b| a.share.total_cmp(&b.share));
    let insulation_m = largest.and_then(|underside| survey.constructions[underside.construction].insulation_m());
    insulation_m.unwrap_or(0.0) * 1000.0
}
