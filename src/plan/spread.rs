//! Whom the person words of a row mean.

use super::Crew;

/// The groups that the person words of a row pick from; persons are bits.
#[derive(Clone, Copy, Debug, Default)]
pub struct Spread {
    /// Those going out or coming in through this list.
    pub team: Crew,
    /// Incapacitated persons anywhere.
    pub hurt: Crew,
    /// Able persons inside the host element.
    pub inside: Crew,
    /// Able persons in the volume that `inside of X` names.
    pub inside_of: Crew,
    /// Those who went out to help.
    pub rescuers: Crew,
}

impl Spread {
    /// First of the team in roster order, a casualty first.
    #[inline]
    pub fn first(&self) -> Crew {
        let hurt = self.team & self.hurt;
        let pool = if hurt != 0 { hurt } else { self.team };
        pool & pool.wrapping_neg()
    }

    /// Last of the team in roster order, an able one if there is one.
    #[inline]
    pub fn last(&self) -> Crew {
        let able = self.team & !self.hurt;
        let pool = if able != 0 { able } else { self.team };
        if pool == 0 { 0 } else { 1 << (15 - pool.leading_zeros()) }
    }
}
