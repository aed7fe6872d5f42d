//! How heat source and system are put together, in words.

use crate::design::hydraulics::Hydraulics;
use crate::design::pipework::{Joined, Parting, Pipework, Reason};
use crate::survey::Survey;

/// Stable name of a reason.
pub(super) fn code(reason: Reason) -> &'static str {
    match reason {
        Reason::Parted(Parting::Head { .. }) => "head",
        Reason::Parted(Parting::GreatestFlow { .. }) => "greatest_flow",
        Reason::LeastFlow { .. } => "minimum_flow",
        Reason::Water { .. } => "water",
    }
}

/// Which way is taken, and why.
pub(super) fn words(found: &Hydraulics, survey: &Survey, pipework: &Pipework) -> String {
    let joining = &pipework.joining;
    let (way, system_l_h) = (joining.way(), joining.system_l_h);
    if system_l_h <= 0.0 {
        return "nothing flows: no emitter has anything to carry".to_owned();
    }
    let reasons: Vec<String> =
        joining.reasons(survey).into_iter().map(|reason| reason_words(reason, joining.needs.is_by_defrost)).collect();
    let because = reasons.join("; ");
    let (vessel_l, least_l_h) = (way.added_water_l, joining.needs.least_l_h.unwrap_or(0.0));
    let round_l_h = (way.left.flow_l_h - way.open.mild.flow_l_h).max(0.0);
    let beside = format!(
        "{round_l_h:.0} of {least_l_h:.0} l/h go round where thermostats shut, and the rest through what stays open"
    );
    match way.kind {
        Joined::Direct => direct(pipework),
        Joined::AddedWater => {
            format!(
                "{because}: so a buffer vessel in the return adds the {vessel_l:.0} l that are missing, and the own pump still carries the system"
            )
        }
        Joined::Bypass => {
            format!("{because}: so a bypass in the plant room lets {beside}, and the own pump still carries the system")
        }
        Joined::BypassAddedWater => format!(
            "{because}: so a bypass in the plant room lets {beside}, a buffer vessel in the return adds the {vessel_l:.0} l that are missing, and the own pump still carries the system"
        ),
        Joined::Separated => {
            let least = joining.least_would_do_kpa.map_or_else(String::new, |kpa| {
                format!("; pipes at least cost would take {kpa:.1} kPa, which its own pump has: `sizing` decides")
            });
            format!(
                "{because}: so a buffer vessel separates heat source and system, the own pump moves {:.0} l/h through primary and plant room, and a second pump gives the system {system_l_h:.0} l/h at {:.1} kPa{least}",
                joining.own.flow_l_h,
                found.arrangement.second_head_kpa.unwrap_or(0.0)
            )
        }
    }
}

fn direct(pipework: &Pipework) -> String {
    let joining = &pipework.joining;
    let own = joining.own.head_kpa.map_or_else(
        || "no heat source is chosen whose pump could be held against it".to_owned(),
        |own_kpa| {
            let head_kpa = pipework.head_kpa();
            format!("the heat source's own pump has {own_kpa:.1} kPa for the {head_kpa:.1} kPa that the system takes")
        },
    );
    let mild = joining.mild;
    let left = if joining.open().left.is_empty() {
        "nothing need stay open".to_owned()
    } else {
        format!(
            "what stays open gives it {:.0} l/h and {:.0} l with every thermostat shut",
            mild.flow_l_h, mild.water_l
        )
    };
    format!("{own}; {left}")
}

fn reason_words(reason: Reason, is_by_defrost: bool) -> String {
    match reason {
        Reason::Parted(Parting::Head { own_kpa, takes_kpa }) => {
            format!("the system takes {takes_kpa:.1} kPa, and the heat source's own pump has {own_kpa:.1} kPa")
        }
        Reason::Parted(Parting::GreatestFlow { system_l_h, most_l_h }) => {
            format!(
                "the system takes {system_l_h:.0} l/h, and the heat source bears {most_l_h:.0} l/h (a larger drop would take less)"
            )
        }
        Reason::LeastFlow { open_l_h, least_l_h, quiet_kpa } => {
            let quiet = quiet_kpa.map_or_else(String::new, |kpa| {
                format!(" (more than {kpa:.0} kPa across a radiator's valves would be heard)")
            });
            format!(
                "with every thermostat shut, and all left open that may be, {open_l_h:.0} l/h flow{quiet}, and the heat source needs {least_l_h:.0} l/h"
            )
        }
        Reason::Water { open_l, needed_l } => {
            let what = if is_by_defrost { "a defrost" } else { "the heat source" };
            format!(
                "with every thermostat shut, and all left open that may be, {open_l:.0} l are open to it, and {what} needs {needed_l:.0} l"
            )
        }
    }
}
