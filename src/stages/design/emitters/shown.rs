//! The last steps of the stage, told once everything is known: units, and sums over rooms, emitters and loops.

use super::{Besides, Emitter, Emitters, Floor, Flowing, to_carry_w};
use crate::design::heat_loss::HeatLoss;
use crate::methods::water::Liquid;
use crate::methods::{Workings, carried_heat, friction, last_steps, sums};
use crate::survey::Survey;

/// What an emitter should carry: its share of what lines leave of a room's loss (W).
pub(super) fn load<W: Workings>((loss_w, from_lines_w): (f64, f64), share: f64, w: &mut W) {
    let left_w = last_steps::left_to_carry(loss_w, from_lines_w, w);
    last_steps::share_of(share, left_w, w);
}

impl Emitter {
    /// Its flows, from what they weigh to what they measure.
    pub(super) fn show_flows<W: Workings>(&self, water: &Liquid, w: &mut W) {
        friction::volume_flow(self.set.flow_kg_s, water.density_kg_m3, &mut w.within("flow_l_h"));
        friction::volume_flow(self.at_load.flow_kg_s, water.density_kg_m3, &mut w.within("at_load/flow_l_h"));
    }
}

impl Emitters {
    /// The whole house, and what the valves of loops take.
    pub(super) fn show<W: Workings>(&self, survey: &Survey, loss: &HeatLoss, w: &mut W) {
        if !w.records() {
            return;
        }
        self.show_together(|emitter| emitter.set, |floor| &floor.besides, &mut w.at(|| "/emitters/as_set".to_owned()));
        self.show_together(
            |emitter| emitter.at_load,
            |floor| &floor.at_load,
            &mut w.at(|| "/emitters/at_load".to_owned()),
        );
        self.show_downward(survey, loss, &mut w.at(|| "/emitters/downward_w".to_owned()));
        self.show_throttles(survey, w);
    }

    fn show_together<W: Workings>(&self, state: fn(&Emitter) -> Flowing, besides: fn(&Floor) -> &Besides, w: &mut W) {
        let states = || self.each().map(|(_, emitter)| state(emitter));
        let mut to_flow = w.within("flow_l_h");
        let flow_kg_s = sums::sum(states().map(|flowing| flowing.flow_kg_s), sums::and_kg_s, &mut to_flow);
        friction::volume_flow(flow_kg_s, self.water.density_kg_m3, &mut to_flow);
        drop(to_flow);
        let returns = states().map(|flowing| (flowing.flow_kg_s, flowing.return_c));
        carried_heat::mixed(returns, &mut w.within("return_temperature_c"));
        sums::sum(states().map(|flowing| flowing.output_w), sums::and_w, &mut w.within("output_w"));
        let down = self.floors().map(|(_, floor, _)| besides(floor).downward_w);
        sums::sum(down, sums::and_w, &mut w.within("downward_w"));
    }

    /// What is charged to the heat source: what comes up where it is warmer below is not counted on.
    fn show_downward<W: Workings>(&self, survey: &Survey, loss: &HeatLoss, w: &mut W) {
        let beyond = survey.rooms.indices().map(|room| self.from_lines_w[room] - to_carry_w(survey, loss, room));
        let down = self.floors().map(|(_, floor, _)| floor.at_load.downward_w);
        let charged = beyond.filter(|beyond_w| *beyond_w > 0.0).chain(down.map(|down_w| down_w.max(0.0)));
        sums::sum(charged, sums::and_w, w);
    }

    /// What the valve of every first loop of a zone takes, so that all of a manifold take the same.
    fn show_throttles<W: Workings>(&self, survey: &Survey, w: &mut W) {
        for (at, floor, _) in self.floors() {
            let Some(written) = survey.emitter(at).floor() else { continue };
            let most_pa = self.manifold_pa(survey, written.laying.manifold);
            for (first, zone) in floor.first_loops() {
                let mut w = w.at(|| format!("/emitters/rooms/{}/emitters/{}", at.room, at.emitter));
                let mut row = w.row("loops", first);
                let mut to_throttle = row.within("to_throttle_kpa");
                let excess_pa = last_steps::excess_pa(most_pa, zone.loop_pa, &mut to_throttle);
                last_steps::kpa(excess_pa, &mut to_throttle);
            }
        }
    }
}
