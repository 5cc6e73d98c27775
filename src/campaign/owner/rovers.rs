//! The books of rovers and of the elements they are: where each stands, on which traverse, whether it
//! drives, which element is lost; why a traverse does not go on.

use crate::plan::NONE;

/// Where a rover is.
#[derive(Clone, Copy, Debug)]
pub(in crate::campaign) struct Rover {
    /// Away on this traverse; [`NONE`] if not.
    pub(in crate::campaign) traverse: u16,
    /// Driving until, s.
    pub(in crate::campaign) driving: f64,
    /// Distance from the base, m.
    pub(in crate::campaign) distance: f64,
    /// Driven since it set out, m.
    pub(in crate::campaign) driven: f64,
    /// When it broke down on a traverse, s.
    pub(in crate::campaign) broken_at: f64,
    /// Known not to drive.
    pub(in crate::campaign) stuck: bool,
    /// Drives without a crew to this element, whose people it fetches; [`NONE`] if not.
    fetches: u16,
    /// The traverse of which it was told that it stays out; [`NONE`] if none.
    left_out: u16,
    /// The element cannot be used any more.
    pub(in crate::campaign) lost: bool,
}

impl Rover {
    /// A rover that stands at `distance` m.
    fn at(distance: f64) -> Rover {
        Rover {
            traverse: NONE,
            driving: 0.0,
            distance,
            driven: 0.0,
            broken_at: 0.0,
            fetches: NONE,
            stuck: false,
            left_out: NONE,
            lost: false,
        }
    }

    /// Neither away, broken down, driving nor sent somewhere.
    pub(in crate::campaign) fn idle(&self, now: f64) -> bool {
        !self.stuck && self.traverse == NONE && self.driving <= now && self.fetches == NONE
    }
}

/// What is known of a traverse.
#[derive(Clone, Copy, Debug, Default)]
struct Plan {
    /// Why it does not take place, or no further.
    stopped: Option<u16>,
    /// The trouble that brought a team of it in by another way.
    trouble: Option<u16>,
}

/// All elements as rovers, and all traverses.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Rovers {
    of: Vec<Rover>,
    plans: Vec<Plan>,
}

impl Rovers {
    /// So many elements and traverses.
    pub(in crate::campaign) fn new(elements: usize, traverses: usize) -> Rovers {
        Rovers { of: vec![Rover::at(0.0); elements], plans: vec![Plan::default(); traverses] }
    }

    /// Everything stands where it belongs, m from the base; nothing is known of any traverse.
    pub(in crate::campaign) fn clear(&mut self, distance: impl Iterator<Item = f64>) {
        self.of.iter_mut().zip(distance).for_each(|(r, d)| *r = Rover::at(d));
        self.plans.fill(Plan::default());
    }

    /// How many elements there are.
    pub(in crate::campaign) fn count(&self) -> usize {
        self.of.len()
    }

    /// The rover that an element is.
    pub(in crate::campaign) fn of(&self, e: u16) -> &Rover {
        &self.of[usize::from(e)]
    }

    /// All of them, in order.
    pub(in crate::campaign) fn all(&self) -> impl Iterator<Item = &Rover> {
        self.of.iter()
    }

    /// The traverse that an element is away on, if there is such an element; else [`NONE`].
    pub(in crate::campaign) fn traverse_of(&self, e: u16) -> u16 {
        self.of.get(usize::from(e)).map_or(NONE, |r| r.traverse)
    }

    /// Way between two elements, m.
    pub(in crate::campaign) fn between(&self, a: u16, b: u16) -> f64 {
        (self.of(a).distance - self.of(b).distance).abs()
    }

    /// A rover sets out on a traverse.
    pub(in crate::campaign) fn set_out(&mut self, e: u16, traverse: u16) {
        let r = &mut self.of[usize::from(e)];
        (r.traverse, r.driven) = (traverse, 0.0);
    }

    /// A rover drives so many metres until a time, to a distance from the base.
    pub(in crate::campaign) fn drive(&mut self, e: u16, metres: f64, until: f64, distance: f64) {
        let r = &mut self.of[usize::from(e)];
        r.driven += metres;
        r.driving = until;
        r.distance = distance;
    }

    /// A rover that does not drive any more on its traverse has broken down at a time. True if so.
    pub(in crate::campaign) fn broke_down(&mut self, e: u16, at: f64) -> bool {
        let r = &mut self.of[usize::from(e)];
        let down = r.stuck && r.traverse != NONE;
        if down {
            r.broken_at = at;
        }
        down
    }

    /// A team rides it to a distance from the base within a row.
    pub(in crate::campaign) fn ride_to(&mut self, e: u16, distance: f64) {
        self.of[usize::from(e)].distance = distance;
    }

    /// A rover is back from its traverse.
    pub(in crate::campaign) fn back(&mut self, e: u16) {
        self.of[usize::from(e)].traverse = NONE;
    }

    /// A rover is known not to drive, or to drive again.
    pub(in crate::campaign) fn set_stuck(&mut self, e: u16, stuck: bool) {
        self.of[usize::from(e)].stuck = stuck;
    }

    /// An element cannot be used any more, or again.
    pub(in crate::campaign) fn set_lost(&mut self, e: u16, lost: bool) {
        self.of[usize::from(e)].lost = lost;
    }

    /// Can an element not be used any more?
    pub(in crate::campaign) fn lost(&self, e: u16) -> bool {
        self.of(e).lost
    }

    /// It stays out on its traverse. True the first time.
    pub(in crate::campaign) fn stays_out(&mut self, e: u16) -> bool {
        let r = &mut self.of[usize::from(e)];
        std::mem::replace(&mut r.left_out, r.traverse) != r.traverse
    }

    /// A rover is sent to an element whose people it fetches.
    pub(in crate::campaign) fn send(&mut self, rover: u16, to: u16) {
        self.of[usize::from(rover)].fetches = to;
    }

    /// It has fetched them.
    pub(in crate::campaign) fn has_fetched(&mut self, rover: u16) {
        self.of[usize::from(rover)].fetches = NONE;
    }

    /// The rover that was sent to an element and drives.
    pub(in crate::campaign) fn sent_to(&self, e: u16) -> Option<u16> {
        self.of.iter().position(|r| r.fetches == e && !r.stuck).map(|x| x as u16)
    }

    /// A traverse does not take place, or no further: why.
    pub(in crate::campaign) fn stop(&mut self, traverse: usize, why: u16) {
        self.plans[traverse].stopped = Some(why);
    }

    /// Why a traverse does not take place, or no further.
    pub(in crate::campaign) fn stopped(&self, traverse: usize) -> Option<u16> {
        self.plans[traverse].stopped
    }

    /// A team of a traverse came in by another way: the first trouble that is known stays.
    pub(in crate::campaign) fn note_trouble(&mut self, traverse: u16, why: Option<u16>) {
        if let Some(plan) = self.plans.get_mut(usize::from(traverse)) {
            plan.trouble = plan.trouble.or(why);
        }
    }

    /// What stopped a traverse, or the trouble of a team that came in without its rover.
    pub(in crate::campaign) fn why_out(&self, traverse: usize) -> Option<u16> {
        let plan = &self.plans[traverse];
        plan.stopped.or(plan.trouble)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rover_sets_out_drives_breaks_down_and_comes_back() {
        let mut r = Rovers::new(2, 1);
        r.clear([0.0, 10.0].into_iter());
        assert_eq!((r.between(0, 1), r.traverse_of(1), r.traverse_of(9)), (10.0, NONE, NONE));
        r.set_out(1, 0);
        r.drive(1, 30.0, 60.0, 40.0);
        assert_eq!((r.of(1).driven, r.of(1).driving, r.of(1).distance), (30.0, 60.0, 40.0));
        assert!(!r.broke_down(1, 60.0) && !r.of(1).idle(100.0));
        r.set_stuck(1, true);
        assert!(r.broke_down(1, 60.0) && r.of(1).broken_at == 60.0);
        assert!(r.stays_out(1) && !r.stays_out(1));
        r.set_stuck(1, false);
        r.back(1);
        assert!(r.of(1).idle(60.0) && !r.of(1).idle(59.0));
        r.set_lost(0, true);
        assert!(r.lost(0) && !r.lost(1));
    }

    #[test]
    fn a_rover_that_was_sent_is_found_while_it_drives() {
        let mut r = Rovers::new(3, 0);
        r.send(2, 1);
        assert_eq!((r.sent_to(1), r.sent_to(0)), (Some(2), None));
        r.set_stuck(2, true);
        assert_eq!(r.sent_to(1), None);
        r.set_stuck(2, false);
        r.has_fetched(2);
        assert_eq!(r.sent_to(1), None);
    }

    #[test]
    fn what_stopped_a_traverse_goes_before_the_trouble_of_a_team() {
        let mut r = Rovers::new(1, 2);
        r.note_trouble(NONE, Some(3));
        r.note_trouble(1, None);
        r.note_trouble(1, Some(4));
        r.note_trouble(1, Some(5));
        assert_eq!((r.why_out(1), r.stopped(1), r.why_out(0)), (Some(4), None, None));
        r.stop(1, 6);
        assert_eq!((r.why_out(1), r.stopped(1)), (Some(6), Some(6)));
    }
}
