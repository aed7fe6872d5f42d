//! Where a floor lies: its room, and what is below.

use crate::design::emitters::Common;
use crate::list::Index;
use crate::methods::floor_circuit::Below;
use crate::methods::{MethodError, Workings, en_1264_3, en_1264_4, iso_13370};
use crate::sources::EN_1264_4;
use crate::survey::Room;
use crate::survey::{Construction, Faces, Underside};

/// Where a floor lies.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Site {
    /// Temperature of the room (°C).
    pub room_c: f64,
    /// What lies below, part by part.
    pub below: Vec<Below>,
    /// The same as one resistance from the pipes down (m²K/W).
    pub below_m2k_w: f64,
    /// The mean temperature there that goes with it (°C).
    pub below_c: f64,
    /// Insulation below that the standard asks for, and what there is, where that is less (m²K/W).
    pub thin: Option<(f64, f64)>,
}

impl Site {
    /// Looks under a room.
    pub(super) fn of_room<W: Workings>(common: &Common<'_>, room: Index<Room>, w: &mut W) -> Result<Self, MethodError> {
        let survey = common.survey;
        let room_c = survey.rooms[room].inside_c;
        let mut below = Vec::with_capacity(survey.rooms[room].undersides.len());
        let mut thin: Option<(f64, f64)> = None;
        for &Underside { share, usage, faces, construction } in &survey.rooms[room].undersides {
            let u_value_w_m2k = common.loss.u_values_w_m2k[usage];
            if u_value_w_m2k <= 0.0 {
                continue; // a slab without exposed edge loses nothing in the steady state
            }
            let below_c = below_c(common, room, faces, w);
            let inside_m2k_w = iso_13370::INSIDE_SURFACE_M2K_W;
            let downward_m2k_w = en_1264_3::downward_resistance_below(u_value_w_m2k, inside_m2k_w, w)?;
            below.push(Below { share, downward_m2k_w, below_c });
            w.cite(&EN_1264_4);
            let wanted_m2k_w = en_1264_4::least_insulation_m2k_w(lies_below(faces, common.loss.outside_design_c));
            // of what is known by its U-value alone all that it holds back counts
            let described = &survey.constructions[construction];
            let is_known = matches!(described, Construction::Known(_));
            let layers_m2k_w = described.layers_m2k_w().filter(|_| !is_known).unwrap_or(downward_m2k_w);
            if layers_m2k_w < wanted_m2k_w
                && thin.is_none_or(|(wanted, has)| layers_m2k_w - wanted_m2k_w < has - wanted)
            {
                thin = Some((wanted_m2k_w, layers_m2k_w));
            }
        }
        let (below_m2k_w, below_c) = Below::as_one(&below, room_c);
        Ok(Self { room_c, below, below_m2k_w, below_c, thin })
    }
}

/// Temperature on the far side of a floor (°C): the annual mean under a slab on the ground.
fn below_c(common: &Common<'_>, room: Index<Room>, faces: Faces, w: &mut impl Workings) -> f64 {
    if faces == Faces::Ground {
        return common.survey.climate.annual_mean_c;
    }
    let difference_k = crate::design::heat_loss::difference(
        common.survey,
        &common.survey.rooms[room],
        faces,
        common.loss.outside(),
        w,
    );
    common.survey.rooms[room].inside_c - difference_k
}

/// What the standard calls what lies below.
fn lies_below(faces: Faces, design_c: f64) -> en_1264_4::Below {
    match faces {
        Faces::Room(_) | Faces::AdjoiningDwelling => en_1264_4::Below::HeatedRoom,
        Faces::Outside => en_1264_4::Below::OutsideAir { design_c },
        Faces::Ground | Faces::Unheated(_) | Faces::UnheatedSpace(_) | Faces::Temperature(_) => {
            en_1264_4::Below::UnheatedOrGround
        }
    }
}
