//! What heated floors are laid of.

use super::screeds::is_laid;
use super::{TakeOff, entry, packs};
use crate::catalogue::products::Product;
use crate::design::pipework::TubeCutting;
use crate::design::plant::Plant;
use crate::estimate::Design;
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::survey::{Commercial, EmitterAt, FLOOR_BUILD, FloorSystem, HEATING, Room, Survey};

impl TakeOff {
    pub(super) fn floors(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let mut boards: Vec<(Index<Product>, f64)> = Vec::new();
        let mut plates: Vec<(Index<Product>, f64)> = Vec::new();
        let mut screeds: Vec<(Index<Product>, f64)> = Vec::new();
        let mut perimeter_m = 0.0;
        let mut has_screed = false;
        let (mut separated_m2, mut upstands_m2) = (0.0, 0.0);
        for (at, floor, _) in design.emitters.floors() {
            let room = at.room;
            let Some(written) = survey.emitter(at).floor() else { continue };
            let area_m2 = survey.rooms[room].floor_area_m2;
            self.quantities.floor_m2 += area_m2;
            self.quantities.loop_m += floor.tube_m();
            self.quantities.loops += f64::from(floor.loop_count());
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
                has_screed = true;
                let screed = self.screed(survey, written);
                // another trade's hours are in the price of a screed that is bought laid
                if !screed.is_some_and(|screed| is_laid(survey.book.product(screed).1)) {
                    self.quantities.screed_m2 += area_m2;
                }
                if let Some(screed) = screed {
                    *entry(&mut screeds, screed) += area_m2 * written.screed_m();
                }
            }
        }
        if self.quantities.floor_m2 <= 0.0 {
            return;
        }
        self.manifolds(survey, design.plant, has_screed);
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
            let supply = survey.commercial.as_ref().map_or(FLOOR_BUILD, Commercial::insulation_supply);
            self.add(board, packs(area_m2 * waste, pack_m2), supply, from);
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
        for screed in screeds {
            self.screeds(survey, screed);
        }
    }

    fn manifolds(&mut self, survey: &Survey, plant: &Plant, has_screed: bool) {
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
                let why = if has_screed { "one a manifold (screed limit)" } else { "one a manifold" };
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
            let loops = if count == 1 { "loop" } else { "loops" };
            let from = format!("{count} {loops}, {total_m:.1} m in all, none joined, coils of {coil_m} m");
            self.add(product, f64::from(u32::try_from(of_this().count()).unwrap_or(u32::MAX)), HEATING, from);
        }
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

    pub(super) fn nearest(
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
