//! The cutting list as it is answered.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::code;
use crate::design::pipework::Pipework;
use crate::methods::math::round_significant;
use crate::survey::Survey;

/// A coil of floor tube and what is cut from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CoilRow {
    /// Number of the coil, from 1.
    pub coil: usize,
    /// Code of the tube.
    pub product: String,
    /// Length of the coil (m).
    pub length_m: f64,
    /// Loops that are cut from it, each in one piece.
    pub loops: Vec<CutLoopRow>,
    /// What is left (m).
    pub left_m: f64,
    /// The row in words, to be taken along.
    pub detail: String,
    /// Whether it is proven that no cutting of all loops of this tube costs less.
    pub proven: bool,
}

/// A loop that is cut from a coil.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CutLoopRow {
    /// Id of the room.
    pub room: String,
    /// Id of the floor within the room.
    pub emitter: String,
    /// Number of the loop within the floor, from 1.
    #[serde(rename = "loop")]
    pub loop_number: usize,
    /// Length (m).
    pub length_m: f64,
}

impl Pipework {
    pub(in crate::design) fn coil_rows(&self, survey: &Survey) -> Vec<CoilRow> {
        let mut rows: Vec<CoilRow> = Vec::new();
        for tube in &self.cuttings {
            let Some(cutting) = &tube.cutting else { continue };
            for cut in &cutting.cuts {
                let (product, length_m) = tube.coils[cut.coil];
                let loops: Vec<CutLoopRow> = cut
                    .loops
                    .iter()
                    .map(|&index| {
                        let one = &tube.loops[index];
                        CutLoopRow {
                            room: survey.names.emitter(one.at).0.to_owned(),
                            emitter: survey.names.emitter(one.at).1.to_owned(),
                            loop_number: one.number,
                            length_m: one.length_m,
                        }
                    })
                    .collect();
                let left_m = (length_m - loops.iter().map(|one| one.length_m).sum::<f64>()).max(0.0);
                let coil = rows.len() + 1;
                let each: Vec<String> = loops.iter().map(CutLoopRow::words).collect();
                let detail = format!("coil {coil} of {length_m} m: {}, left {:.1} m", each.join(", "), left_m);
                let product = code(survey, product);
                let left_m = if left_m < 1e-9 { 0.0 } else { round_significant(left_m, 9) };
                rows.push(CoilRow { coil, product, length_m, loops, left_m, detail, proven: cutting.is_proven });
            }
        }
        rows
    }
}

impl CutLoopRow {
    fn words(&self) -> String {
        format!("loop {} of {} {:.1} m", self.loop_number, self.room, self.length_m)
    }
}
