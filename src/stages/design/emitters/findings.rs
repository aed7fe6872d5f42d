//! What the stage tells of its emitters: needs that are not met, and what looks wrong.

use super::aside::counts;
use super::unmet::sound_max_db;
use super::{Emitters, Kind, Standing, Unmet, Warning, Why, fan, on_offer, shares, to_carry_w};
use crate::design::heat_loss::HeatLoss;
use crate::design::units::{flow_l_h, kpa};
use crate::job::emitters::Keep;
use crate::list::Index;
use crate::methods::{iso_11855_2, open_door};
use crate::survey::{EmitterAt, EmitterKind, HeatedFloor, Room, Survey};

/// What is found of emitters.
#[derive(Default)]
pub(super) struct Findings {
    /// Heat that floors give downward, and what lines give to rooms beyond their losses (W).
    downward_w: f64,
    unmet: Vec<Unmet>,
    pub warnings: Vec<Warning>,
}

impl Emitters {
    /// The same with what is unmet and what looks wrong.
    pub(super) fn with_findings(self, survey: &Survey, loss: &HeatLoss, first: Option<Warning>) -> Self {
        let mut findings = Findings { warnings: first.into_iter().collect(), ..Findings::default() };
        self.note_all(survey, loss, &mut findings);
        self.warn_of_low_excess(&mut findings);
        self.warn_of_arithmetic_mean(survey, &mut findings);
        self.warn_of_oversize(survey, &mut findings);
        self.warn_of_hot_data(&mut findings);
        self.warn_of_slow_loops(survey, &mut findings);
        self.warn_of_wide_drops(survey, &mut findings);
        self.check_screed(survey, &mut findings);
        let Findings { downward_w, unmet, warnings } = findings;
        Self { downward_w, unmet, warnings, ..self }
    }

    fn note_all(&self, survey: &Survey, loss: &HeatLoss, findings: &mut Findings) {
        for room in survey.rooms.indices() {
            self.note_room(survey, loss, room, findings);
        }
    }

    /// Whether a room falls short of its loss for want of warmer water, or something else of its emitters is unmet.
    pub(super) fn is_short(&self, survey: &Survey, loss: &HeatLoss, room: Index<Room>) -> bool {
        let mut findings = Findings::default();
        self.note_room(survey, loss, room, &mut findings);
        findings.unmet.iter().any(|unmet| counts(unmet, &[]))
    }

    fn note_room(&self, survey: &Survey, loss: &HeatLoss, room: Index<Room>, findings: &mut Findings) {
        let loss_w = to_carry_w(survey, loss, room);
        let from_lines_w = self.from_lines_w[room];
        if self.rooms[room].is_empty() && loss_w > from_lines_w {
            findings.unmet.push(Unmet::NoEmitter { room, need_w: loss_w, reached_w: from_lines_w });
        }
        if from_lines_w > loss_w {
            // the room does not need it, and the water gives it all the same
            findings.downward_w += from_lines_w - loss_w;
            findings.warnings.push(Warning::LinesOverheat { room, given_w: from_lines_w, loss_w });
        }
        let own_w = loss.rooms[room].design_heat_loss_w;
        if survey.rooms[room].heated_from.is_some() && own_w > open_door::MOST_W {
            findings.unmet.push(Unmet::Door { room, need_w: own_w, most_w: open_door::MOST_W });
        }
        for emitter in survey.rooms[room].emitters.indices() {
            self.note(survey, EmitterAt { room, emitter }, findings);
        }
    }

    fn note(&self, survey: &Survey, at: EmitterAt, findings: &mut Findings) {
        let room = at.room;
        let emitter = &self.rooms[room][at.emitter];
        let load_w = emitter.load_w;
        let written = survey.emitter(at);
        if shares::is_needless(written, load_w) {
            let why = (!self.can_hang(survey, at)).then(|| self.why(survey, at, true));
            findings.warnings.push(Warning::LeftOut { at, why });
        } else if shares::is_idle(written, load_w) {
            findings.warnings.push(Warning::Idle {
                at,
                is_alone: survey.names.emitters[room].len() == 1,
                heated_by_lines: self.from_lines_w[room] > 0.0,
            });
        }
        let (need_w, reached_w) = (load_w, emitter.reached_w());
        let unmet = match &emitter.kind {
            Kind::Radiator(Some(radiator)) => {
                let goes_if_short = written.existing().is_some_and(|existing| existing.keep == Keep::IfEnough);
                match radiator.standing {
                    Standing::Kept if !self.comes_back_warm(survey, room) => {
                        Unmet::WaterTooCool { at, need_w, reached_w }
                    }
                    Standing::Kept if goes_if_short => Unmet::NoStrongerRadiator { at, need_w, reached_w },
                    Standing::Kept => Unmet::KeptRadiator { at, need_w, reached_w },
                    Standing::New | Standing::Replaced | Standing::TooSmall => {
                        Unmet::NoRadiator { at, need_w, reached_w }
                    }
                }
            }
            Kind::FanConvector(Some(_)) => {
                Unmet::NoFanConvector { at, need_w, reached_w, sound_max_db: sound_max_db(survey, at) }
            }
            Kind::Radiator(None) | Kind::FanConvector(None) => {
                match (self.why(survey, at, load_w > 0.0), &emitter.kind) {
                    (Why::Water, _) => Unmet::WaterTooCool { at, need_w, reached_w },
                    (why, Kind::FanConvector(_)) => Unmet::NoFanConvectorAtAll {
                        at,
                        why,
                        sound_max_db: sound_max_db(survey, at),
                        need_w,
                        reached_w,
                    },
                    (why, Kind::Radiator(_) | Kind::Floor(_) | Kind::BeyondTables(_)) => {
                        Unmet::NoRadiatorAtAll { at, why, need_w, reached_w }
                    }
                }
            }
            Kind::BeyondTables(beyond) => Unmet::FloorBeyondTables { at, beyond: *beyond, need_w, reached_w },
            Kind::Floor(floor) => {
                // what comes up where it is warmer below is not counted on
                findings.downward_w += floor.at_load.downward_w.max(0.0);
                if survey.rooms[room].undersides.is_empty() {
                    findings.warnings.push(Warning::NoUnderside { at });
                }
                let most_pa = survey.emitter(at).floor().map_or(f64::INFINITY, |floor| floor.laying.loop_max_pa);
                let worst_pa = floor.zones.iter().map(|zone| zone.loop_pa).fold(0.0, f64::max);
                if worst_pa > most_pa * (1.0 + 1e-4) {
                    findings.unmet.push(Unmet::Loops { at, most_kpa: kpa(most_pa), reached_kpa: kpa(worst_pa) });
                }
                if let Some((gives_w_m2, most_w_m2)) = floor.beyond_limit() {
                    let flow_c = self.flow_c;
                    findings.unmet.push(Unmet::FloorTooWarm { at, flow_c, most_w_m2, gives_w_m2 });
                }
                if let Some(conduction) = floor.plates_beyond {
                    let most_conduction = iso_11855_2::CONDUCTION.max;
                    findings.warnings.push(Warning::PlatesBeyondTable { at, conduction, most_conduction });
                }
                if let Some(beyond) = floor.zones.iter().find_map(|zone| zone.beyond) {
                    findings.warnings.push(Warning::ByConductionAlone { at, beyond });
                }
                for &spacing_m in &floor.passed_over_m {
                    findings.warnings.push(Warning::SpacingPassedOver { at, spacing_mm: 1000.0 * spacing_m });
                }
                if let Some((wanted_m2k_w, has_m2k_w)) = floor.thin {
                    findings.warnings.push(Warning::of_thin_insulation(at, wanted_m2k_w, has_m2k_w));
                }
                match floor.under_worst_w {
                    Some(Ok(reached_w)) if reached_w < load_w * (1.0 - 1e-9) => {
                        findings.warnings.push(Warning::WorstCovering { at, load_w, reached_w });
                    }
                    Some(Err(beyond)) => findings.warnings.push(Warning::WorstCoveringBeyondTables { at, beyond }),
                    Some(Ok(_)) | None => {}
                }
                if self.comes_back_warm(survey, room) {
                    Unmet::FloorTooWeak { at, at_surface_limit: floor.is_held(), need_w, reached_w }
                } else {
                    Unmet::WaterTooCool { at, need_w, reached_w }
                }
            }
        };
        // a towel rail is wanted even where it has nothing to carry
        let is_missed = matches!(emitter.kind, Kind::Radiator(None)) && shares::is_idle(written, load_w)
            || matches!(emitter.kind, Kind::BeyondTables(_));
        if emitter.is_short() || is_missed {
            findings.unmet.push(unmet);
        }
    }

    /// Whether anything could be taken for an emitter at all.
    fn can_hang(&self, survey: &Survey, at: EmitterAt) -> bool {
        self.comes_back_warm(survey, at.room)
            && match &survey.emitter(at).kind {
                EmitterKind::Radiator { hanging, .. } => on_offer::fitting(survey, hanging).next().is_some(),
                EmitterKind::FanConvector(blowing) => fan::is_any(survey, at.room, self.flow_c, blowing),
                EmitterKind::HeatedFloor(_) => true,
            }
    }

    /// Why nothing hangs there that could be taken; the water is no reason where it has nothing to carry.
    fn why(&self, survey: &Survey, at: EmitterAt, asks_water: bool) -> Why {
        if asks_water && !self.comes_back_warm(survey, at.room) {
            return Why::Water;
        }
        match &survey.emitter(at).kind {
            EmitterKind::FanConvector(blowing) => fan::why(survey, blowing),
            EmitterKind::Radiator { hanging, .. } => {
                let mut offered = survey.offer.radiators.iter();
                let has_kind = offered.any(|radiator| radiator.is_towel_rail == hanging.is_towel_rail);
                if has_kind { Why::Fit } else { Why::Book }
            }
            EmitterKind::HeatedFloor(_) => Why::Fit,
        }
    }

    /// Whether water comes back warmer than a room at the nominal drop.
    fn comes_back_warm(&self, survey: &Survey, room: Index<Room>) -> bool {
        self.flow_c - survey.heating.drop_k > survey.rooms[room].inside_c
    }

    /// One warning when loops run slower than a manifold can be set to: how many, and the slowest.
    fn warn_of_slow_loops(&self, survey: &Survey, findings: &mut Findings) {
        let least_l_min = survey.defaults.slow_loop_l_min.value;
        let flows =
            self.floors().flat_map(|(at, floor, _)| floor.loops().map(move |(_, flow_kg_s)| (at.room, flow_kg_s)));
        let slow: Vec<(Index<Room>, f64)> = flows
            .map(|(room, flow_kg_s)| (room, flow_l_h(flow_kg_s, self.water.density_kg_m3) / 60.0))
            .filter(|(_, flow_l_min)| *flow_l_min > 0.0 && *flow_l_min < least_l_min * (1.0 - 1e-9))
            .collect();
        if let Some(&(room, flow_l_min)) = slow.iter().min_by(|(_, a), (_, b)| a.total_cmp(b)) {
            findings.warnings.push(Warning::SlowLoops { loops: slow.len(), room, flow_l_min, least_l_min });
        }
    }

    /// A warning for each floor whose water comes back far colder than it goes in.
    fn warn_of_wide_drops(&self, survey: &Survey, findings: &mut Findings) {
        let most_k = survey.defaults.floor_drop_max_k.value;
        for (at, _, emitter) in self.floors().filter(|(.., emitter)| emitter.set.flow_kg_s > 0.0) {
            let (flow_c, return_c) = (self.flow_c, emitter.set.return_c);
            let drop_k = flow_c - return_c;
            if drop_k > most_k {
                findings.warnings.push(Warning::WideDrop { at, drop_k, most_k, flow_c, return_c });
            }
        }
    }

    /// Screed must not be fed hotter than it bears.
    fn check_screed(&self, survey: &Survey, findings: &mut Findings) {
        let on_screed = |at: EmitterAt| survey.emitter(at).floor().is_some_and(HeatedFloor::has_screed);
        let most_c = survey.defaults.screed_flow_max_c.value;
        if self.flow_c > most_c && self.floors().any(|(at, ..)| on_screed(at)) {
            findings.unmet.push(Unmet::Screed { most_c, flow_c: self.flow_c });
        }
    }
}
