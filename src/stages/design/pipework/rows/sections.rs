//! Runs as they are answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::code;
use crate::catalogue::products::{Joint, Product, TubeMaterial};
use crate::design::lagging::Lagged;
use crate::design::pipework::{Limit, Pipework, Section, Verdict, options};
use crate::design::units::flow_l_h;
use crate::job::emitters::Keep;
use crate::job::pipework::Place;
use crate::list::Index;
use crate::methods::water::Liquid;
use crate::methods::{Off, carried_heat, friction, joists, pipe_loss};
use crate::survey::{Run, Survey};

/// One run with its flow and return tube. A tube that nobody can see has the velocity, the gradient, the water and the heat loss
/// of the bore that fits its readings and its route best, and the greatest drop that they allow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SectionRow {
    /// Id of the run.
    pub id: String,
    /// Id of the run that it leaves from, or `plant`.
    pub from: String,
    /// Code of the tube; absent where none is on offer, where nobody can see it, and where the run leads only to emitters
    /// that are left out: it is not laid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tube: Option<String>,
    /// Outside diameter of the tube (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outside_diameter_mm: Option<f64>,
    /// What it is made of, where the price book tells it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<TubeMaterial>,
    /// How it may be joined, where the price book tells it or its material.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub joints: Vec<Joint>,
    /// Whether the tube lies there already.
    pub existing: bool,
    /// What became of the tube that lies there, where one does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_tube: Option<VerdictRow>,
    /// Where it lies, which sets the velocity that it may have.
    pub place: Place,
    /// Length of the route, one way (m).
    pub length_m: f64,
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Velocity (m/s).
    pub velocity_m_s: f64,
    /// Greatest velocity that the place and the tube allow (m/s).
    pub velocity_max_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Pressure gradient of the straight tube (Pa/m).
    pub gradient_pa_m: f64,
    /// Sum of loss coefficients, one way.
    pub zeta: f64,
    /// Pressure drop of both legs (Pa).
    pub pressure_drop_pa: f64,
    /// Water in both legs (l).
    pub water_content_l: f64,
    /// Thickness of the insulation (mm); 0 where it is bare. That of what lies in the open stands by itself.
    pub insulation_mm: f64,
    /// Code of the insulation, where it is of the price book.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<String>,
    /// How much of its route lies in the open (m).
    pub outdoor_m: f64,
    /// Thickness of the insulation there (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outdoor_insulation_mm: Option<f64>,
    /// Code of the insulation there, where it is of the price book.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outdoor_insulation: Option<String>,
    /// Heat that both legs lose to what is about them in design conditions (W); below 0 where they take heat up.
    pub heat_loss_w: f64,
    /// The next narrower tube on offer, and why it was not taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub narrower: Option<NarrowerRow>,
    /// Holes and notches that the joists bear that it crosses.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joists: Option<JoistRow>,
}

/// What became of a tube that lies there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VerdictRow {
    /// `kept`, `replaced` or `refused`: it must not stay in use, though the job wants it kept.
    pub verdict: Cow<'static, str>,
    /// The limit that it breaks: `velocity`, `erosion`, `too_slow`, `temperature`, `pressure`, `joists`, `gradient`, `readings`, `pump` (more than it has left), `cost`, or `head` (it would make the whole dearer).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub breaks: Option<Cow<'static, str>>,
    /// Why, in words.
    pub reason: String,
    /// Heat that the tube that lies there carries at the greatest velocity it may have and the nominal drop (W), where it can
    /// be seen which it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carries_w: Option<f64>,
}

/// A narrower tube that was not taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NarrowerRow {
    /// Its code.
    pub tube: String,
    /// Its velocity (m/s).
    pub velocity_m_s: f64,
    /// The limit that it breaks, as for a tube that lies there.
    pub breaks: Cow<'static, str>,
    /// Why it was not taken, in words.
    pub reason: String,
}

/// Holes and notches in the joists that a run crosses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JoistRow {
    /// Greatest diameter of a hole, on the joist's middle line (mm); in joists above 250 mm an engineer decides
    /// (`joists_for_engineer`), and this is the most that is usual.
    pub hole_max_mm: f64,
    /// Greatest depth of a notch, in the upper edge (mm); as `hole_max_mm`.
    pub notch_max_mm: f64,
    /// How this tube may cross with its insulation: `notch_or_hole`, `hole`, `hole_bare` where it must be left off in the joist,
    /// or `neither`; absent where no tube is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crosses_by: Option<Cow<'static, str>>,
    /// Holes are no nearer to a support than this (m), where the span is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub holes_from_m: Option<f64>,
    /// And no farther from it (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub holes_to_m: Option<f64>,
    /// Notches are no nearer to a support than this (m), where the span is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notches_from_m: Option<f64>,
    /// And no farther from it (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notches_to_m: Option<f64>,
}

impl Pipework {
    /// A run with the names of the job.
    pub(in crate::design) fn section_row(&self, survey: &Survey, liquid: &Liquid, index: Index<Run>) -> SectionRow {
        let (run, section) = (&survey.pipes.runs[index], &self.sections[index]);
        let from = run.from.map_or("plant", |from| survey.pipes.runs[from].id.as_str());
        row(survey, liquid, run, from, section)
    }
}

/// A run as it is answered, with what flows in it.
pub(super) fn row(survey: &Survey, liquid: &Liquid, run: &Run, from: &str, section: &Section) -> SectionRow {
    let offered = section.tube.map(|tube| &survey.offer.tubes[tube]);
    let insulation = |lagged: Lagged| Some(code(survey, survey.offer.pipe_insulation[lagged.offered?].product));
    SectionRow {
        id: run.id.clone(),
        from: from.to_owned(),
        tube: offered.map(|tube| code(survey, tube.product)),
        outside_diameter_mm: offered.map(|tube| 1000.0 * tube.outside_m),
        material: offered.and_then(|tube| tube.material),
        joints: offered.map_or_else(Vec::new, |tube| joints(survey, tube.product)),
        existing: section.stays(),
        existing_tube: section.verdict.map(|verdict| of_verdict(survey, run, verdict, liquid)),
        place: run.place,
        length_m: run.length_m,
        flow_l_h: flow_l_h(section.flow_kg_s, liquid.density_kg_m3),
        velocity_m_s: section.velocity_m_s,
        velocity_max_m_s: section.velocity_max_m_s,
        reynolds: section.reynolds,
        gradient_pa_m: section.gradient_pa_m,
        zeta: section.zeta,
        pressure_drop_pa: section.drop_pa,
        water_content_l: section.content_l,
        insulation_mm: section.lagged.thickness_mm,
        insulation: insulation(section.lagged),
        outdoor_m: run.open_m,
        outdoor_insulation_mm: (run.open_m > 0.0).then_some(section.lagged_open.thickness_mm),
        outdoor_insulation: insulation(section.lagged_open).filter(|_| run.open_m > 0.0),
        heat_loss_w: section.lost.whole_w,
        narrower: section.narrower.map(|(tube, velocity_m_s, limit)| {
            let tube = code(survey, survey.offer.tubes[tube].product);
            let reason = format!("{tube} {}", words(limit, run));
            NarrowerRow { reason, tube, velocity_m_s, breaks: limit.breaks.code().into() }
        }),
        joists: of_joists(run, offered.map(|tube| (1000.0 * tube.outside_m, section.lagged.thickness_mm))),
    }
}

fn words(limit: Limit, run: &Run) -> String {
    let words = limit.breaks.words(limit.found, limit.limit, run.place);
    if limit.is_making { format!("{words}, while hot water is made") } else { words }
}

fn of_verdict(survey: &Survey, run: &Run, verdict: Verdict, liquid: &Liquid) -> VerdictRow {
    let keep = run.laid.as_ref().map(|laid| laid.keep);
    let wanted = if keep == Some(Keep::IfEnough) { "nothing on offer does better" } else { "the job wants it kept" };
    let (verdict, limit, reason) = match verdict {
        Verdict::Kept => ("kept", None, "it keeps within its limits".to_owned()),
        Verdict::KeptBeyond(limit) => ("kept", Some(limit), format!("{wanted}, though it {}", words(limit, run))),
        Verdict::Replaced(None) => ("replaced", None, "the job wants it replaced".to_owned()),
        Verdict::Replaced(Some(limit)) => ("replaced", Some(limit), format!("it {}", words(limit, run))),
        Verdict::Refused(limit) => {
            ("refused", Some(limit), format!("{wanted}, and it must not stay in use: it {}", words(limit, run)))
        }
    };
    let carries_w = run.existing_tube().map(|tube| {
        let most_m_s = options::velocity_limit(survey, run, Some(tube));
        let flow_kg_s = friction::mass_flow_at(options::bore(survey, tube), liquid, most_m_s);
        carried_heat::heat(flow_kg_s, liquid.specific_heat_j_kgk, survey.heating.drop_k, &mut Off)
    });
    let breaks = limit.map(|limit| limit.breaks.code().into());
    VerdictRow { verdict: verdict.into(), breaks, reason, carries_w }
}

/// How a tube of the book may be joined: as the book tells, or as its material does.
fn joints(survey: &Survey, product: Index<Product>) -> Vec<Joint> {
    let (_, Product::Tube { joints, material, .. }) = survey.book.product(product) else {
        return Vec::new();
    };
    if joints.is_empty() {
        material.map_or_else(Vec::new, |material| material.joints().to_vec())
    } else {
        joints.clone()
    }
}

fn of_joists(run: &Run, tube_mm: Option<(f64, f64)>) -> Option<JoistRow> {
    let crossed = run.joists?;
    // the schema keeps the depth above nothing
    let allowed = joists::allowed(crossed.depth_mm, &mut Off).ok()?;
    // whole millimetres, rounded down: what is cut is measured with a rule
    let (hole_max_mm, notch_max_mm) = (allowed.hole_mm.floor(), allowed.notch_mm.floor());
    let crosses_by = tube_mm.map(|(outside_mm, insulation_mm)| {
        let whole_mm = pipe_loss::whole_diameter(outside_mm, insulation_mm, &mut Off);
        match (whole_mm <= notch_max_mm, whole_mm <= hole_max_mm, outside_mm <= hole_max_mm) {
            (true, ..) => "notch_or_hole",
            (false, true, _) => "hole",
            (false, false, true) => "hole_bare",
            (false, false, false) => "neither",
        }
    });
    let at = |share: f64| crossed.span_m.map(|span_m| joists::place(share, span_m, &mut Off));
    Some(JoistRow {
        hole_max_mm,
        notch_max_mm,
        crosses_by: crosses_by.map(Cow::from),
        holes_from_m: at(joists::HOLES_AT.0),
        holes_to_m: at(joists::HOLES_AT.1),
        notches_from_m: at(joists::NOTCHES_AT.0),
        notches_to_m: at(joists::NOTCHES_AT.1),
    })
}
