//! Luck that keeps the blocks it drew last.

use super::{BUMPS, Luck, open01};
use std::cell::Cell;

/// Where a block may be kept; a power of two. A campaign of a hundred sorties asks for some four thousand
/// different ones, and the next architecture asks for most of them again: with few places to spare, each
/// would find that others have taken theirs. A sweep makes a table for each point: a larger one, or one with
/// an alignment of its own, leaves holes in the memory of the C library.
const PLACES: usize = 8_192;

/// Places from its own on in which a block may be kept.
const NEAR: usize = 4;

/// Luck with the blocks it drew last: a number asked for again, and the three in a block with it, cost a
/// look instead of a block. A block is a function of its address, so nothing depends on what is kept.
#[derive(Clone, Debug)]
pub struct Kept {
    luck: Luck,
    places: Vec<Place>,
}

/// One block and its address.
#[derive(Clone, Debug)]
struct Place {
    /// Campaign, path, occasion, purpose and block.
    address: [Cell<u64>; 4],
    /// The words of the block, as uniform numbers.
    uniforms: [Cell<f64>; 4],
}

impl Kept {
    /// Keeps what is drawn of this luck.
    pub fn new(luck: Luck) -> Kept {
        // Every place holds a true block from the start, of a campaign that is never played, so that none
        // has to be marked as empty.
        let first = Place {
            address: [u64::MAX, 0, 0, 0].map(Cell::new),
            uniforms: luck.block(u64::MAX, 0, 0, 0, 0).map(|word| Cell::new(open01(word))),
        };
        Kept { luck, places: vec![first; PLACES + NEAR] }
    }

    /// Keeps nothing yet and cannot be asked: whoever plays next is lent one that can.
    pub fn lent(luck: Luck) -> Kept {
        Kept { luck, places: Vec::new() }
    }

    /// The number that [`Luck::uniform`] gives at this address.
    #[inline]
    pub fn uniform(
        &self,
        campaign: u64,
        path: u64,
        occasion: u64,
        purpose: u32,
        index: u32,
    ) -> f64 {
        self.block(campaign, path, occasion, purpose, index / 4)[index as usize % 4].get()
    }

    /// The numbers that [`Luck::fill`] gives at this address.
    pub fn fill(&self, campaign: u64, path: u64, occasion: u64, purpose: u32, out: &mut [f64]) {
        for (block, part) in (0..).zip(out.chunks_mut(4)) {
            let uniforms = self.block(campaign, path, occasion, purpose, block);
            part.iter_mut().zip(uniforms).for_each(|(out, u)| *out = u.get());
        }
    }

    /// The numbers of one block.
    #[inline]
    fn block(
        &self,
        campaign: u64,
        path: u64,
        occasion: u64,
        purpose: u32,
        block: u32,
    ) -> &[Cell<f64>; 4] {
        let which = u64::from(purpose) << 32 | u64::from(block);
        let address = [campaign, path, occasion, which];
        let first = place_of(address);
        let near = &self.places[first..first + NEAR];
        for place in near {
            if place.is(address) {
                return &place.uniforms;
            }
            // A place of another campaign is free; what of this one stands behind it is drawn again.
            if place.address[0].get() != campaign {
                return self.draw(place, campaign, path, occasion, which);
            }
        }
        self.draw(&near[NEAR - 1], campaign, path, occasion, which)
    }

    /// Puts another block in a place.
    #[inline(never)]
    fn draw<'a>(
        &self,
        place: &'a Place,
        campaign: u64,
        path: u64,
        occasion: u64,
        which: u64,
    ) -> &'a [Cell<f64>; 4] {
        let words = self.luck.block(campaign, path, occasion, (which >> 32) as u32, which as u32);
        let address = [campaign, path, occasion, which];
        place.address.iter().zip(address).for_each(|(of, word)| of.set(word));
        place.uniforms.iter().zip(words).for_each(|(of, word)| of.set(open01(word)));
        &place.uniforms
    }
}

impl Place {
    /// Does it hold the block of this address?
    #[inline]
    fn is(&self, [campaign, path, occasion, which]: [u64; 4]) -> bool {
        let [a, b, c, d] = &self.address;
        b.get() == path && c.get() == occasion && d.get() == which && a.get() == campaign
    }
}

/// The first place in which the block of an address may be kept.
#[inline]
fn place_of([_, path, occasion, which]: [u64; 4]) -> usize {
    let mixed = path ^ occasion.wrapping_mul(BUMPS[0]) ^ which.wrapping_mul(BUMPS[1]);
    (mixed >> (u64::BITS - PLACES.trailing_zeros())) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::stream::fnv1a64;

    /// More addresses than places, each asked for several times in changing order.
    #[test]
    fn what_is_kept_is_what_is_drawn() {
        let luck = Luck::new(5);
        let kept = Kept::new(luck);
        let paths = ["", "lock", "survey"].map(fnv1a64);
        for turn in 0..3u64 {
            for i in 0..30_000u64 {
                let n = (i * 7_919 + turn) % 30_000;
                let (campaign, path, occasion) = (n % 3, paths[n as usize % 3], n / 16);
                let (purpose, index) = ((n % 5) as u32, (n % 11) as u32);
                let drawn = luck.uniform(campaign, path, occasion, purpose, index);
                assert_eq!(kept.uniform(campaign, path, occasion, purpose, index), drawn);
            }
        }
        assert_eq!(kept.uniform(0, 0, 0, 0, 1), luck.uniform(0, 0, 0, 0, 1));
    }

    /// Many at once, again and again beside others that take their places.
    #[test]
    fn what_is_filled_is_what_is_drawn() {
        let luck = Luck::new(6);
        let kept = Kept::new(luck);
        let (mut mine, mut drawn) = ([0.0; 70], [0.0; 70]);
        for n in 0..3_000u64 {
            let (campaign, path, occasion) = (n % 2, fnv1a64("lock"), n % 700);
            let length = (occasion as usize) % 71;
            kept.fill(campaign, path, occasion, 1, &mut mine[..length]);
            luck.fill(campaign, path, occasion, 1, &mut drawn[..length]);
            assert_eq!(mine[..length], drawn[..length]);
        }
    }
}
