//! How tubes are chosen, with every default filled.

use crate::catalogue::Defaults;
use crate::job::pipework::{Pipework, Sizing as Written};
use crate::methods::Off;
use crate::methods::pump_laws::{self, Running};
use crate::notes::{Filled, Value};
use crate::survey::assumed::FilledPipework;

/// Which of the two ways decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Least cost over a life, exactly.
    LeastCost,
    /// The smallest bore within a gradient and a velocity.
    Gradient,
}

/// How tubes are chosen. Both ways are always computed, so each has all its figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizing {
    /// Which way decides.
    pub rule: Rule,
    /// Greatest pressure gradient of the handbook's rule (Pa/m).
    pub gradient_max_pa_m: f64,
    /// Greatest velocity in occupied places (m/s).
    pub velocity_max_m_s: f64,
    /// Least velocity, where one is asked for (m/s).
    pub velocity_min_m_s: Option<f64>,
    /// Years that costs are added up over.
    pub life_years: f64,
    /// Cost of a kilowatt-hour, in the currency of the price book.
    pub electricity_per_kwh: f64,
    /// Hours that the pump runs in a year (h).
    pub pump_running_h: f64,
    /// Power that the water takes over that of the pump (0–1).
    pub pump_efficiency: f64,
}

impl Sizing {
    /// What a pascal of head costs in electricity over the life, at a flow of the whole (l/h).
    #[must_use]
    pub fn head_costs(&self, flow_l_h: f64) -> f64 {
        let running = Running {
            efficiency: self.pump_efficiency,
            year_h: self.pump_running_h,
            per_kwh: self.electricity_per_kwh,
            years: self.life_years,
        };
        pump_laws::life_costs(flow_l_h, running, &mut Off)
    }
}

/// How the job wants tubes chosen; what it leaves out is added to `filled`.
pub(super) fn sizing(written: &Pipework, defaults: &Defaults, filled: &mut Filled<FilledPipework>) -> Sizing {
    let least = Sizing {
        rule: Rule::LeastCost,
        gradient_max_pa_m: defaults.gradient_max_pa_m.value,
        velocity_max_m_s: defaults.velocity_max_m_s.value,
        velocity_min_m_s: None,
        life_years: f64::from(defaults.life_years.value),
        electricity_per_kwh: defaults.electricity_per_kwh.value,
        pump_running_h: defaults.pump_running_h.value,
        pump_efficiency: defaults.pump_efficiency.value,
    };
    let mut life = true;
    let sizing = match &written.sizing {
        Some(Written::Gradient { gradient_max_pa_m, velocity_max_m_s }) => Sizing {
            rule: Rule::Gradient,
            gradient_max_pa_m: *gradient_max_pa_m,
            velocity_max_m_s: *velocity_max_m_s,
            ..least
        },
        Some(Written::LeastCost {
            velocity_max_m_s,
            velocity_min_m_s,
            life_years,
            electricity_per_kwh,
            pump_running_h,
            pump_efficiency,
        }) => {
            life = [
                life_years.is_none(),
                electricity_per_kwh.is_none(),
                pump_running_h.is_none(),
                pump_efficiency.is_none(),
            ]
            .contains(&true);
            if velocity_max_m_s.is_none() {
                fill_velocity(least.velocity_max_m_s, filled);
            }
            Sizing {
                velocity_max_m_s: velocity_max_m_s.unwrap_or(least.velocity_max_m_s),
                velocity_min_m_s: *velocity_min_m_s,
                life_years: life_years.map_or(least.life_years, f64::from),
                electricity_per_kwh: electricity_per_kwh.unwrap_or(least.electricity_per_kwh),
                pump_running_h: pump_running_h.unwrap_or(least.pump_running_h),
                pump_efficiency: pump_efficiency.unwrap_or(least.pump_efficiency),
                ..least
            }
        }
        None => {
            fill_velocity(least.velocity_max_m_s, filled);
            least
        }
    };
    if life {
        filled.words(format!(
            "pipe and pump electricity over {} years of {} h at {} a kWh, at a pump efficiency of {:.0} % ({})",
            sizing.life_years,
            sizing.pump_running_h,
            sizing.electricity_per_kwh,
            100.0 * sizing.pump_efficiency,
            defaults.life_years.told()
        ));
        defaults.life_years.provenance.tell(filled);
        let figures = [
            ("life_years", sizing.life_years),
            ("pump_running_h", sizing.pump_running_h),
            ("electricity_per_kwh", sizing.electricity_per_kwh),
            ("pump_efficiency", sizing.pump_efficiency),
        ];
        for (name, figure) in figures {
            filled.put(name, Value::Figure(figure));
        }
    }
    sizing
}

fn fill_velocity(most_m_s: f64, filled: &mut Filled<FilledPipework>) {
    let words = format!("pipes at least cost within {most_m_s} m/s in occupied places");
    filled.figure("velocity_max_m_s", most_m_s, words);
}
