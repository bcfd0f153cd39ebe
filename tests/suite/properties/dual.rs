//! The smallest recording number: a value and its derivative to one variable.

use std::ops::{Add, Div, Mul, Neg, Sub};

use loambook::physics::Number;

#[derive(Clone, Copy, Debug)]
pub struct Dual {
    pub value: f64,
    pub slope: f64,
}

impl Number for Dual {
    fn constant(value: f64) -> Self {
        Dual { value, slope: 0.0 }
    }
    fn value(self) -> f64 {
        self.value
    }
    fn chain(self, value: f64, derivative: f64) -> Self {
        Dual { value, slope: derivative * self.slope }
    }
}

impl Add for Dual {
    type Output = Dual;
    fn add(self, other: Dual) -> Dual {
        Dual { value: self.value + other.value, slope: self.slope + other.slope }
    }
}

impl Sub for Dual {
    type Output = Dual;
    fn sub(self, other: Dual) -> Dual {
        self + -other
    }
}

impl Mul for Dual {
    type Output = Dual;
    fn mul(self, other: Dual) -> Dual {
        Dual { value: self.value * other.value, slope: self.slope * other.value + self.value * other.slope }
    }
}

impl Div for Dual {
    type Output = Dual;
    fn div(self, other: Dual) -> Dual {
        let value = self.value / other.value;
        Dual { value, slope: (self.slope - value * other.slope) / other.value }
    }
}

impl Neg for Dual {
    type Output = Dual;
    fn neg(self) -> Dual {
        Dual { value: -self.value, slope: -self.slope }
    }
}

impl Add<f64> for Dual {
    type Output = Dual;
    fn add(self, other: f64) -> Dual {
        self + Dual::constant(other)
    }
}

impl Sub<f64> for Dual {
    type Output = Dual;
    fn sub(self, other: f64) -> Dual {
        self - Dual::constant(other)
    }
}

impl Mul<f64> for Dual {
    type Output = Dual;
    fn mul(self, other: f64) -> Dual {
        self * Dual::constant(other)
    }
}

impl Div<f64> for Dual {
    type Output = Dual;
    fn div(self, other: f64) -> Dual {
        self / Dual::constant(other)
    }
}
