//! What the plant room does not meet.

use crate::findings;
use crate::job::pipework::Manifold;
use crate::list::Index;
use crate::survey::Survey;

findings! {
    /// What the plant room does not meet.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Unmet: Unmet of survey: Survey {
        /// A manifold feeds more loops than any on offer has outlets.
        "manifold_too_small" Manifold { manifold: Index<Manifold>, loops: u32, outlets: u32 }
        at "/pipework/manifolds/{manifold}"
        wants (*loops, *outlets, "loops")
        says {
            if outlets > 0 {
                format!("manifold {manifold} feeds {loops} loops, and the largest on offer has {outlets} outlets")
            } else {
                format!("manifold {manifold} feeds {loops} loops, and the price book has no manifold")
            }
        };

        /// No cylinder that may be taken is large enough.
        "no_cylinder" Cylinder { need_l: f64, reached_l: f64 }
        at "/plant"
        wants (*need_l, *reached_l, "l")
        says "the hot water needs {need_l:.0} l, and the largest cylinder that may be taken holds {reached_l:.0} l";

        /// No expansion vessel on offer is large enough.
        "no_vessel" Vessel { need_l: f64, reached_l: f64 }
        at "/plant"
        wants (*need_l, *reached_l, "l")
        says "the system needs an expansion vessel of {need_l:.1} l, and the largest on offer has {reached_l:.0} l";
    }
}
