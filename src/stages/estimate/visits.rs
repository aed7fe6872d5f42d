//! The visits that the trade knows: their order, what each needs and leaves behind, and which take heating and hot water away.

use super::labour::Task;
use crate::catalogue::labour::Per;
use crate::survey::HeatedBy;

/// A visit that the trade knows: what must be there before it, and what it leaves behind.
struct Known {
    visit: &'static str,
    /// What it needs of a house that is being built or stands empty.
    needs: &'static str,
    /// What it needs of one that people live in.
    needs_lived_in: &'static str,
    hands_over: &'static str,
}

/// Visits in the order of the work. One that is not here comes after these and before commissioning.
const ORDER: [Known; 5] = [
    Known {
        visit: FIRST_FIX,
        needs: "floors up or walls open along the runs",
        needs_lived_in: "rooms cleared and carpets lifted along the runs",
        hands_over: "runs in place and tested before they are closed in",
    },
    Known {
        visit: "floor",
        needs: "walls plastered, subfloor level and swept, everything below the insulation boards in place and tested",
        needs_lived_in: "rooms empty, old floor covering up, subfloor level and swept, everything below the insulation boards in place and tested",
        hands_over: "loops laid, filled, tested at 5 bar for an hour and left at 2 to 3 bar",
    },
    Known {
        visit: SCREED,
        needs: "loops tested and under pressure, room above 5 °C",
        needs_lived_in: "loops tested and under pressure, room above 5 °C, a way round the rooms that nobody may walk in",
        hands_over: "screed laid; not walked on for three days",
    },
    Known {
        visit: "second_fix",
        needs: "walls plastered and dry where radiators hang",
        needs_lived_in: "walls clear where radiators hang, furniture moved away and covered",
        hands_over: "radiators hung, piped and tested",
    },
    Known {
        visit: PLANT,
        needs: "base for the outdoor unit, electrical supply by a registered electrician, cold main at the cylinder",
        needs_lived_in: "base for the outdoor unit, electrical supply by a registered electrician, cold main at the cylinder, its cupboard emptied",
        hands_over: "heat source, cylinder and vessel set, the system tested under pressure",
    },
];

/// The visit that lays runs.
const FIRST_FIX: &str = "first_fix";
/// The visit after which a screed must wait.
pub(super) const SCREED: &str = "screed";
/// The visit that exchanges the heat source.
const PLANT: &str = "plant";
/// The last visit.
pub(super) const COMMISSIONING: &str = "commissioning";

/// Where a visit stands in the order of the work.
pub(super) fn rank(visit: &str) -> usize {
    match ORDER.iter().position(|known| known.visit == visit) {
        Some(rank) => rank,
        None if visit == COMMISSIONING => ORDER.len() + 1,
        None => ORDER.len(),
    }
}

fn known(visit: &str) -> Option<&'static Known> {
    ORDER.iter().find(|known| known.visit == visit)
}

/// What must be there before a visit; who lays a screed that is bought laid is booked besides.
pub(super) fn needs(visit: &str, after_screed: bool, lived_in: bool, by_others: bool) -> String {
    let needs = match known(visit) {
        Some(known) if lived_in => known.needs_lived_in,
        Some(known) => known.needs,
        None if visit == COMMISSIONING && after_screed => "system tested, power on, screed old enough to be heated",
        None if visit == COMMISSIONING => "system tested, power on",
        None => "the visits before it",
    };
    if visit == SCREED && by_others { format!("the screed layer booked, {needs}") } else { needs.to_owned() }
}

/// What a visit leaves behind; that of the screed tells how long it is not heated.
pub(super) fn hands_over(visit: &str, screed_days: Option<i64>) -> String {
    match (known(visit), screed_days) {
        (Some(known), Some(days)) => format!("{}, not heated for {days}", known.hands_over),
        (Some(known), None) if known.visit != SCREED => known.hands_over.to_owned(),
        (None, _) if visit == COMMISSIONING => {
            "system filled, treated, balanced and running, papers handed to the client".to_owned()
        }
        (Some(_) | None, None) | (None, Some(_)) => "its tasks done".to_owned(),
    }
}

/// Whether a task takes the heating away that the house had: most of the old radiators come off, new ones go on tubes that stay, or the
/// heat source is exchanged.
pub(super) fn takes_heating(task: &Task, heated_by: HeatedBy) -> bool {
    match heated_by {
        HeatedBy::NoWater => false,
        HeatedBy::Water { tubes_stay, goes_with_radiators } => {
            let is_hung = task.per == Per::Radiator && task.visit != FIRST_FIX;
            (goes_with_radiators && task.per == Per::RadiatorRemoved)
                || (tubes_stay && is_hung)
                || takes_hot_water(task)
        }
    }
}

/// Whether a task takes the hot water away that the house had: heat source or cylinder is exchanged.
pub(super) fn takes_hot_water(task: &Task) -> bool {
    task.visit == PLANT || matches!(task.per, Per::HeatSource | Per::Cylinder)
}

/// That the house goes without, where it does.
pub(super) fn goes_without(is_cold: bool, is_dry: bool, days: u32) -> Option<String> {
    let without = match (is_cold, is_dry) {
        (true, true) => "heating and hot water",
        (true, false) => "heating",
        (false, true) => "hot water",
        (false, false) => return None,
    };
    let days = if days == 1 { "a day".to_owned() } else { format!("{days} days") };
    Some(format!("the house is without {without} for {days} until the next visit"))
}
