//! Coils that a floor tube is on sale in.

use super::products::Product;

impl Product {
    /// Length of the coil of a floor tube that is this one but for coil and price (m).
    #[must_use]
    pub fn coil_m(&self, other: &Self) -> Option<f64> {
        let sizes = |product: &Self| {
            let Self::FloorTube {
                outside_diameter_mm,
                wall_mm,
                conductivity_w_mk,
                roughness_mm,
                sheath_outside_diameter_mm,
                sheath_conductivity_w_mk,
                pack_m,
                ..
            } = product
            else {
                return None;
            };
            let sheath = (*sheath_outside_diameter_mm, *sheath_conductivity_w_mk);
            Some(((*outside_diameter_mm, *wall_mm, *conductivity_w_mk, *roughness_mm, sheath), *pack_m))
        };
        let ((own, _), (others, coil_m)) = (sizes(self)?, sizes(other)?);
        (own == others).then_some(coil_m)
    }
}
