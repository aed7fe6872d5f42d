//! The design of a summary: rooms with their emitters, and the plant.

use super::section;
use crate::design::emitters::{CoveringRow, EmitterRow, RoomEmitters};
use crate::design::heat_loss::RoomLoss;
use crate::design::source::CandidateRow;
use crate::estimate::bill::BillAnswer;
use crate::proposal::ProposalReport;
use crate::render::table::{Column, figure};

/// Every room with its loss and its emitters, and the dwelling under them.
pub(super) fn rooms(proposal: &ProposalReport) -> String {
    let ProposalReport { heat_loss, emitters, bill, notes, .. } = proposal;
    let title = format!(
        "Rooms at {} °C outside, flow at {} °C",
        figure(heat_loss.outside_design_c, 1),
        figure(emitters.flow_temperature_c, 1)
    );
    let columns = [
        ("room", Column::Word),
        ("m²", Column::Figure),
        ("°C", Column::Figure),
        ("loss W", Column::Figure),
        ("emitter", Column::Text),
        ("output W", Column::Figure),
        ("flow l/h", Column::Figure),
        ("return °C", Column::Figure),
    ];
    let mut rows = Vec::new();
    for loss in &heat_loss.rooms {
        let mut head = Some(loss);
        let own = emitters.rooms.iter().find(|RoomEmitters { room, .. }| *room == loss.room);
        for emitter in own.map_or(&[][..], |own| &own.emitters) {
            let mut row = of_room(head.take());
            let pointer = format!("/rooms/{}/emitters/{}", loss.room, emitter.emitter);
            let is_unmet = emitters.unmet.iter().any(|unmet| unmet.pointer == pointer)
                || notes.warnings.iter().any(|note| note.pointer == pointer && note.values.get("why").is_some());
            row.extend(of_emitter(emitter, bill, is_unmet));
            rows.push(row);
        }
        if let Some(loss) = head {
            let mut row = of_room(Some(loss));
            row.extend([without_emitter(own), String::new(), String::new(), String::new()]);
            rows.push(row);
        }
    }
    let area_m2: f64 = heat_loss.rooms.iter().map(|room| room.floor_area_m2).sum();
    let whole_w = figure(heat_loss.dwelling.design_heat_loss_w, 0);
    let mut dwelling = vec!["dwelling".to_owned(), figure(area_m2, 1), String::new(), whole_w];
    dwelling.resize(columns.len(), String::new());
    rows.push(dwelling);
    section(&title, &columns, rows)
}

/// What heats a room that has no emitter.
fn without_emitter(room: Option<&RoomEmitters>) -> String {
    room.and_then(|room| room.heated_from.as_ref()).map_or_else(
        || "none".to_owned(),
        |next| {
            let (open_c, shut_c) = (figure(next.open_door_c, 1), figure(next.shut_door_c, 1));
            format!("heated from {}: {open_c} °C with the door open, {shut_c} °C with it shut", next.room)
        },
    )
}

/// What stands of a room on the row of its first emitter; further emitters stand under it.
fn of_room(loss: Option<&RoomLoss>) -> Vec<String> {
    let Some(loss) = loss else { return vec![String::new(); 4] };
    let figures = [(loss.floor_area_m2, 1), (loss.inside_design_c, 1), (loss.design_heat_loss_w, 0)];
    let figures = figures.into_iter().map(|(value, decimals)| figure(value, decimals));
    std::iter::once(loss.room.clone()).chain(figures).collect()
}

fn of_emitter(emitter: &EmitterRow, bill: &BillAnswer, is_unmet: bool) -> [String; 4] {
    let EmitterRow { output_w, flow_l_h, return_temperature_c, .. } = *emitter;
    let is_there = emitter.kind == "heated_floor" || emitter.product.is_some() || emitter.standing.is_some();
    // what is not there has no water that comes back
    let return_c = if is_there { figure(return_temperature_c, 1) } else { String::new() };
    [words(emitter, bill, is_unmet), figure(output_w, 0), figure(flow_l_h, 0), return_c]
}

/// What may lie on a floor, cut and not rounded: a covering that is a little thinner does, one a little thicker may not.
fn bears(emitter: &EmitterRow) -> String {
    let greatest = emitter.floor.as_ref().and_then(|floor| floor.greatest_covering.as_ref());
    greatest.map_or_else(String::new, |CoveringRow { tog, tables_end, .. }| {
        // a tile alone is a few hundredths
        let decimals = if *tog < 0.1 { 3 } else { 2 };
        let step = if decimals == 3 { 1000.0 } else { 100.0 };
        let tog = figure((tog * step + 1e-6).floor() / step, decimals);
        if *tables_end {
            format!(", takes floor coverings up to {tog} tog and beyond")
        } else {
            format!(", takes floor coverings up to {tog} tog")
        }
    })
}

fn words(emitter: &EmitterRow, bill: &BillAnswer, is_unmet: bool) -> String {
    if emitter.kind == "heated_floor" {
        let loops = emitter.loops.iter().map(|one| figure(one.length_m, 1)).collect::<Vec<_>>().join(" + ");
        let area = figure(emitter.area_m2.unwrap_or(0.0), 1);
        let bears = bears(emitter);
        return match emitter.spacing_mm {
            Some(spacing_mm) => {
                let edge = emitter
                    .floor
                    .as_ref()
                    .and_then(|floor| floor.edge_zone.as_ref())
                    .map_or_else(String::new, |edge| {
                        format!(", {} m² of it edge at {} mm", figure(edge.area_m2, 1), figure(edge.spacing_mm, 0))
                    });
                format!("underfloor heating, {area} m² at {} mm{edge}, loops {loops} m{bears}", figure(spacing_mm, 0))
            }
            None => format!("underfloor heating, {area} m²{bears}"),
        };
    }
    match (&emitter.product, &emitter.standing, &emitter.strongest) {
        (None, None, Some(strongest)) => return format!("none that fits is enough, {strongest} is the strongest"),
        (None, None, None) if is_unmet => return "none that can be taken".to_owned(),
        (None, None, None) => return "nothing to carry, left out".to_owned(),
        (Some(_), ..) | (None, Some(_), _) => {}
    }
    let code = emitter.product.as_deref();
    let line = code.and_then(|code| bill.lines.iter().find(|line| line.code == code));
    let product = line.map(|line| line.description.as_str()).or(code).unwrap_or("radiator");
    match emitter.standing.as_deref() {
        None | Some("new") => product.to_owned(),
        Some(standing) => format!("{product}, {standing}"),
    }
}

/// Heat source, cylinder, vessel and pump, one under the other.
pub(super) fn plant(proposal: &ProposalReport) -> String {
    let ProposalReport { plant, pipework, bill, .. } = proposal;
    let source = &plant.heat_source;
    let chosen = source.candidates.iter().find(|candidate| candidate.chosen);
    let duty = chosen.map_or_else(String::new, |chosen| {
        let CandidateRow { capacity_w, cop, needed_w, .. } = *chosen;
        let needed_w = needed_w.unwrap_or(source.load_w);
        let pipes = match source.pipe_loss_w {
            lost_w if lost_w > 0.0 => format!(", {} W of them lost by pipes outside the rooms", figure(lost_w, 0)),
            _ => String::new(),
        };
        format!(
            ": {} W for the {} W that house and hot water need in design conditions{pipes}, COP {} there",
            figure(capacity_w, 0),
            figure(needed_w, 0),
            figure(cop, 2)
        )
    });
    let unit = match (source.description.as_deref(), chosen) {
        (Some(description), _) => description,
        (None, Some(_)) => "as given with the job",
        (None, None) if source.candidates.iter().any(|candidate| candidate.product.is_none()) => {
            "the one given with the job is not strong enough"
        }
        (None, None) => "none is strong enough",
    };
    let cylinder = &plant.cylinder;
    let volume = cylinder.volume_l.map_or_else(|| "none is large enough".to_owned(), |l| format!("{} l", figure(l, 0)));
    let vessel = &plant.expansion_vessel;
    let line = vessel.product.as_deref().and_then(|code| bill.lines.iter().find(|line| line.code == code));
    let vessel_words = line.map(|line| line.description.as_str()).or(vessel.product.as_deref());
    let (pump, arrangement) = (&pipework.pump, &pipework.arrangement);
    let own = pump.own_head_kpa.map_or_else(String::new, |own| {
        if arrangement.kind == "separated" {
            let (flow, head) = (figure(arrangement.unit_flow_l_h, 0), figure(arrangement.unit_head_kpa, 1));
            format!("; the heat source's own moves {flow} l/h at {head} kPa and has {} kPa", figure(own, 1))
        } else {
            format!("; the heat source's own has {} kPa", figure(own, 1))
        }
    });
    let index = pipework.index_circuit.as_deref().unwrap_or("nothing");
    let rows = [
        ("heat source", format!("{unit}{duty}")),
        (
            "cylinder",
            format!(
                "{volume}, stored at {} °C, {} l needed",
                figure(cylinder.storage_temperature_c, 0),
                figure(cylinder.needed_l, 0)
            ),
        ),
        (
            "vessel",
            format!(
                "{}, {} l needed for {} l of water, charged to {} bar",
                vessel_words.unwrap_or("none is large enough"),
                figure(vessel.needed_l, 1),
                figure(plant.water_content.total_l, 0),
                figure(vessel.charge_pressure_bar, 2)
            ),
        ),
        (
            "pump",
            format!(
                "{}{} l/h at {} kPa, index circuit {index}{own}",
                arrangement.second_pump.as_ref().map_or_else(String::new, |code| format!("{code}: ")),
                figure(pump.flow_l_h, 0),
                figure(pump.head_kpa, 1)
            ),
        ),
    ];
    let joined = Some(("heat source to system", pipework.arrangement.detail.clone()))
        .filter(|_| pipework.arrangement.kind != "direct");
    let coils = pipework
        .coils
        .iter()
        .enumerate()
        .map(|(number, coil)| (if number == 0 { "floor pipe" } else { "" }, coil.detail.clone()));
    let mut open: Vec<(&str, usize)> = Vec::new();
    for left in &arrangement.stays_open {
        match open.iter_mut().find(|(room, _)| *room == left.room) {
            Some((_, emitters)) => *emitters += 1,
            None => open.push((&left.room, 1)),
        }
    }
    let open: Vec<String> = open
        .into_iter()
        .map(|(room, emitters)| if emitters == 1 { room.to_owned() } else { format!("{emitters} in {room}") })
        .collect();
    let sensor =
        arrangement.room_sensor.as_ref().map_or_else(String::new, |room| format!("; the room sensor goes to {room}"));
    let open =
        Some(("left open", format!("{}{sensor}", open.join(", ")))).filter(|_| !arrangement.stays_open.is_empty());
    let rows = rows.into_iter().chain(joined).chain(open).chain(coils);
    let rows = rows.map(|(what, words)| vec![what.to_owned(), words]).collect();
    section("Plant", &[("", Column::Word), ("", Column::Text)], rows)
}
