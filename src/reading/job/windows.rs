//! Windows from their parts.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::rules::Broken;
use crate::intake::{FaultCode, by_kind};

/// Measures of a window.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum WindowMeasures {
    /// By its size and the width of its frame, one pane.
    Sizes {
        /// Width over the frame (mm).
        #[schema(minimum = 100.0, maximum = 20000.0)]
        width_mm: f64,
        /// Height over the frame (mm).
        #[schema(minimum = 100.0, maximum = 20000.0)]
        height_mm: f64,
        /// Width of the frame that is seen, on every side (mm).
        #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
        frame_width_mm: f64,
    },
    /// By its areas and the length of the pane's edge.
    Areas {
        /// Area of the glass (m²).
        #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
        glass_area_m2: f64,
        /// Area of the frame (m²).
        #[schema(minimum = 0.0, maximum = 1000.0)]
        frame_area_m2: f64,
        /// Length of the edge of the glass (m).
        #[schema(minimum = 0.0, maximum = 10000.0)]
        glass_edge_m: f64,
    },
    /// By the frame's share of the area, one pane.
    Share {
        /// Share of the frame (0–1).
        #[schema(exclusive_minimum = 0.0, exclusive_maximum = 1.0)]
        frame_share: f64,
        /// Width over the frame (mm); `default:window_width_mm` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 100.0, maximum = 20000.0)]
        width_mm: Option<f64>,
        /// Height over the frame (mm); `default:window_height_mm` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 100.0, maximum = 20000.0)]
        height_mm: Option<f64>,
    },
}

/// What the frame is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FrameMaterial {
    /// Wood or plastic.
    WoodOrPlastic,
    /// Metal with a thermal break.
    MetalWithBreak,
}

/// A window's frame leaves room for glass.
pub(super) fn all_frame(measures: &WindowMeasures) -> Option<Broken> {
    match *measures {
        WindowMeasures::Sizes { width_mm, height_mm, frame_width_mm }
            if 2.0 * frame_width_mm >= width_mm.min(height_mm) =>
        {
            let limit = width_mm.min(height_mm) / 2.0;
            let detail = format!("a frame {frame_width_mm} mm wide leaves no glass in {width_mm} x {height_mm} mm");
            Some(Broken::new(FaultCode::FrameWithoutGlass).at("measures/frame_width_mm").says(detail).limit(limit))
        }
        WindowMeasures::Sizes { .. } | WindowMeasures::Areas { .. } | WindowMeasures::Share { .. } => None,
    }
}
