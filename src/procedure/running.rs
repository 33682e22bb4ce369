//! What runs of a setup are held against: figures, words and limits, rendered with the plan.

use serde::{Deserialize, Serialize};

use super::plan::Step;

/// Figures of a setup that turns, and the words and limits of its speed trials. Numbers are decimals, rounded for reckoning by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Running {
    /// Moment of inertia of the rotor, kg·m².
    pub inertia_kgm2: String,
    /// Mass of the rotor, kg.
    pub mass_kg: String,
    /// Speed of the rotor as designed, rpm.
    pub speed_rpm: String,
    /// Speed of the rotor that is never passed, rpm.
    pub limit_rpm: String,
    /// Speeds at which a run is held on its way up, rpm.
    pub stages_rpm: Vec<String>,
    /// Energy at the designed speed, J.
    pub energy_j: String,
    /// Speed of the driver, rpm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub driver_rpm: Option<String>,
    /// Turns of the rotor for one of the driver, least and largest by the makers' line differences.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratio: Option<(String, String)>,
    /// Expected drag, N·m, low and high.
    pub drag_nm: (String, String),
    /// Expected time from the designed speed to standstill, s, low and high.
    pub run_down_s: (String, String),
    /// Balance grade of the spec.
    pub balance_grade: String,
    /// Permissible residual unbalance at the designed speed, g·mm.
    pub permissible_gmm: String,
    /// What the figures rest on.
    pub basis: String,
    /// Cautions, words and checks of a speed trial. It stands in no order: a trial may be run again and again.
    pub trial: Step,
}
