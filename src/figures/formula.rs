//! The formulas by name: in the trade's symbols, with their sources.

/// The formula of a figure.
#[derive(Debug, PartialEq, Eq)]
pub struct Formula {
    /// The name in JSON.
    pub name: &'static str,
    /// In the trade's symbols.
    pub text: &'static str,
    pub source: &'static str,
}

const fn formula(name: &'static str, text: &'static str, source: &'static str) -> Formula {
    Formula { name, text, source }
}

const COSSALTER_1: &str = "V. Cossalter, Motorcycle Dynamics, ch. 1";
const RIGID: &str = "rigid chassis on flat ground; V. Cossalter, Motorcycle Dynamics, ch. 1";
const TRADE: &str = "common practice, no source";
const STATICS: &str = "equilibrium of the wheel; V. Cossalter, Motorcycle Dynamics, ch. 5";
const GAS: &str = "ideal gas, polytropic; textbook";

pub static SAG: Formula = formula("sag", "sag = hanging − loaded", TRADE);
pub static SHARE: Formula = formula("share", "share = sag / travel", TRADE);
pub static STICTION: Formula = formula(
    "stiction",
    "F = ½ (F after push − F after lift), slow",
    "Coulomb friction: half of what the spring carries more",
);
pub static FITTED: Formula = formula(
    "two-loads",
    "k = (Fs₂ − Fs₁) / (s₂ − s₁);  q = (Fs₁ − Fg) / k − s₁;  Fsᵢ = Wᵢ / s′(zᵢ)",
    STATICS,
);
pub static PRELOAD: Formula = formula(
    "preload-wanted",
    "q = q now + q(W, z aim) − q(W, z measured);  q(W, z) = (W / s′(z) − Fg) / k − s(z)",
    STATICS,
);
pub static ON_HAND: Formula = formula(
    "on-hand",
    "q = (W / s′(z aim) − Fg) / k − s(z aim);  static sag where k, q carry the machine alone",
    STATICS,
);
pub static COIL: Formula = formula(
    "coil-rate",
    "k = G d⁴ / (8 D³ N)",
    "Shigley, Mechanical Engineering Design, helical compression springs",
);
pub static TURNS: Formula = formula("collar-turns", "turns = (q wanted − q now) / thread pitch", TRADE);
pub static STATIC_THEN: Formula =
    formula("static-then", "static = measured static + model(q wanted) − model(q now)", STATICS);
pub static BEST_RATE: Formula = formula(
    "best-rate",
    "of the rates on hand, the static sag at the wanted rider sag nearest the middle of its band",
    TRADE,
);
pub static EXPECTED: Formula =
    formula("sag-expected", "sag = last reading + model(settings now) − model(settings then)", STATICS);
pub static WHEEL_RATE: Formula = formula(
    "wheel-rate",
    "rear K = k s′² + Fs s″;  front K = F′(x) / cos² ε",
    "dF/dz at rider sag; V. Cossalter, Motorcycle Dynamics, ch. 5",
);
pub static FREQUENCY: Formula = formula("frequency", "f = √(K / m) / 2π", "undamped oscillator; textbook");
pub static RATIO: Formula = formula("ratio", "front / rear", TRADE);
pub static RAKE: Formula = formula("rake", "ε = ε₀ + φ", RIGID);
pub static TRAIL: Formula = formula("trail", "t = (Rf sin ε − d) / cos ε", COSSALTER_1);
pub static NORMAL_TRAIL: Formula = formula("normal-trail", "tn = Rf sin ε − d", COSSALTER_1);
pub static OFFSET: Formula = formula("offset", "d = Rf sin ε₀ − t₀ cos ε₀", COSSALTER_1);
pub static WHEELBASE: Formula = formula("wheelbase", "p = D cos(α + φ)", RIGID);
pub static PITCH: Formula = formula("pitch", "φ = asin((Rf − Rr) / D) − α", RIGID);
pub static DROOP: Formula = formula("droop", "θ + φ", RIGID);
pub static PIVOT_HEIGHT: Formula = formula("pivot-height", "Rr + L sin(θ + φ)", RIGID);
pub static ANTI_SQUAT: Formula = formula(
    "anti-squat",
    "tan σ / (h / p)",
    "V. Cossalter, Motorcycle Dynamics, ch. 6; T. Foale, Motorcycle Handling and Chassis Design",
);
pub static FRONT_SHARE: Formula = formula("front-share", "x G / p", RIGID);
pub static FLOP: Formula = formula("flop", "f = t sin ε cos ε", COSSALTER_1);
pub static AGAINST_STANDARD: Formula =
    formula("change", "as set − standard setting, at the aimed sags", "difference of two figures");
pub static LAST_CHANGE: Formula = formula(
    "step",
    "just after the last change − just before it, at the same sags",
    "difference of two figures",
);
pub static GATE: Formula = formula("constant-volume", "p₂ = (p₁ + pa₁) T₂ / T₁ − pa₂", GAS);
pub static FULL_TRAVEL: Formula = formula("full-travel", "p = (p₁ + pa) (V / (V ∓ A x))ⁿ − pa", GAS);
pub static LEAK: Formula = formula("leak", "found − left, both at the temperature of the find", GAS);
pub static FORK_FORCE: Formula = formula(
    "fork-force",
    "F = Σ ± A (P (V / (V ∓ A x))ⁿ − pa) + k (x + q)",
    "ideal gas, polytropic, and Hooke; textbook",
);
pub static FORK_STIFFNESS: Formula = formula("fork-stiffness", "dF/dx = Σ n A² P Vⁿ / (V ∓ A x)ⁿ⁺¹ + k", GAS);
pub static FORK_ENERGY: Formula = formula("fork-energy", "∫ F dx over the travel", GAS);
pub static AIR_DENSITY: Formula =
    formula("cipm-2007", "ρ = p M (1 − x (1 − Mv / M)) / (Z R T)", "Picard et al., Metrologia 45 (2008) 149");
pub static RELATIVE_DENSITY: Formula = formula("relative-density", "ρ / 1.225 kg/m³", "ISO 2533");
pub static DENSITY_ALTITUDE: Formula =
    formula("density-altitude", "the altitude at which the standard atmosphere has ρ", "ISO 2533");
pub static SAE_J1349: Formula =
    formula("sae-j1349", "1.180 (99.0 / p dry) √((t + 273) / 298) − 0.18", "SAE J1349");
pub static ISO_1585: Formula = formula("iso-1585", "(99 / p dry)^1.2 (T / 298)^0.6", "ISO 1585");
pub static JET: Formula = formula(
    "jet-for-air",
    "number · (ρ / ρ tuned)^¼ by diameter, ^½ by flow",
    "air flow goes with ρ, jet flow with area · √ρ",
);
pub static JET_ON_HAND: Formula = formula("jet-on-hand", "the nearest on hand that is not leaner", TRADE);
pub static DRIVE_RATIO: Formula = formula("drive-ratio", "rear teeth / front teeth", TRADE);
pub static LINKS: Formula = formula(
    "chain-length",
    "links = 2 C cos α / P + N₂ (π + 2α) / 2π + N₁ (π − 2α) / 2π",
    "chords on the sprockets of ISO 606",
);
pub static AXLE: Formula = formula(
    "axle-move",
    "a = L(set) − L(standard), chain just taut, centres in line",
    "chords on the sprockets of ISO 606",
);
pub static SPEED: Formula = formula("speed", "v = n 2π Rr / (primary · gear · final)", TRADE);
pub static BARS: Formula = formula("bars", "w / w standard − 1", "torque is force times half-width");
pub static BREAKAWAY: Formula = formula("breakaway", "T = pull · radius", "torque is force times lever");
pub static LAPS: Formula =
    formula("laps", "best, median, median |lap − median|", "order statistics; textbook");
pub static RADIUS: Formula =
    formula("radius", "loaded radius, else rollout / 2π, else 12.7 · rim + width · aspect / 100", "ISO 4249");
