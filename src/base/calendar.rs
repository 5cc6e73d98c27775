//! The event calendar: a short list of what is to happen, in the order in which it will.
//!
//! A simulation here has some ten events pending at any time, so a sorted list with linear insert
//! is faster than a heap and its order is plain to see. It is not meant for thousands.

/// Names one scheduled event, to cancel it. Never used again, also not after [`Calendar::clear`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key(u64);

#[derive(Clone, Copy, Debug)]
struct Entry<E> {
    time: f64,
    priority: u8,
    sequence: u64,
    event: E,
}

/// Events in the order (time, priority, order of scheduling): the earlier first, at one time the
/// **lower priority number** first, and of those the one scheduled first (first in, first out).
///
/// No allocation once as many events were pending together as ever will be: the list is kept when
/// events leave and on [`Calendar::clear`]. Scheduling costs the number of events that come before
/// the new one, popping costs nothing, cancelling the number of events pending.
#[derive(Clone, Debug)]
pub struct Calendar<E> {
    /// Last to happen first, so that the next leaves from the end.
    entries: Vec<Entry<E>>,
    scheduled: u64,
    /// Time of the latest event popped.
    now: f64,
}

impl<E: Copy> Calendar<E> {
    /// An empty calendar with room for this many pending events; it grows when that is too few.
    pub fn new(capacity: usize) -> Self {
        Calendar { entries: Vec::with_capacity(capacity), scheduled: 0, now: f64::NEG_INFINITY }
    }

    /// Forgets every event and the time, keeps the memory. Keys given before stay dead.
    pub fn clear(&mut self) {
        self.entries.clear();
        self.now = f64::NEG_INFINITY;
    }

    /// Puts an event on the calendar. `time` in s from campaign start; infinite means never within
    /// any horizon and sorts last. Of two events at one time the lower `priority` comes first.
    ///
    /// # Panics
    /// If `time` is NaN, which has no place in any order. In debug builds also if it lies before
    /// the latest event popped, for then the simulation has lost its order.
    pub fn schedule(&mut self, time: f64, priority: u8, event: E) -> Key {
        assert!(!time.is_nan(), "an event needs a time");
        debug_assert!(time >= self.now, "event at {time} s is scheduled after {} s", self.now);
        let before = |e: &Entry<E>| e.time < time || (e.time == time && e.priority <= priority);
        let sooner = self.entries.iter().rev().take_while(|e| before(e)).count();
        let sequence = self.scheduled;
        self.scheduled += 1;
        let entry = Entry { time, priority, sequence, event };
        self.entries.insert(self.entries.len() - sooner, entry);
        Key(sequence)
    }

    /// Takes an event off. False if it has happened or was cancelled already.
    pub fn cancel(&mut self, key: Key) -> bool {
        let found = self.entries.iter().rposition(|e| e.sequence == key.0);
        if let Some(place) = found {
            self.entries.remove(place);
        }
        found.is_some()
    }

    /// Time of the next event.
    #[inline]
    pub fn peek(&self) -> Option<f64> {
        self.entries.last().map(|e| e.time)
    }

    /// Takes the next event off, with its time.
    #[inline]
    pub fn pop(&mut self) -> Option<(f64, E)> {
        let next = self.entries.pop()?;
        self.now = next.time;
        Some((next.time, next.event))
    }

    /// How many events are pending.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether nothing is pending.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn drain<E: Copy>(calendar: &mut Calendar<E>) -> Vec<(f64, E)> {
        std::iter::from_fn(|| calendar.pop()).collect()
    }

    #[test]
    fn time_then_priority_then_first_in_first_out() {
        let mut calendar = Calendar::new(8);
        calendar.schedule(2.0, 0, 'e');
        calendar.schedule(1.0, 5, 'c');
        calendar.schedule(1.0, 1, 'a');
        calendar.schedule(1.0, 5, 'd');
        calendar.schedule(1.0, 1, 'b');
        calendar.schedule(f64::INFINITY, 0, 'f');
        assert_eq!((calendar.len(), calendar.peek()), (6, Some(1.0)));
        let order: String = drain(&mut calendar).iter().map(|e| e.1).collect();
        assert_eq!(order, "abcdef");
        assert_eq!((calendar.peek(), calendar.is_empty()), (None, true));
    }

    #[test]
    fn both_zeros_are_one_time() {
        let mut calendar = Calendar::new(2);
        calendar.schedule(0.0, 0, 'a');
        calendar.schedule(-0.0, 0, 'b');
        assert_eq!(drain(&mut calendar), [(0.0, 'a'), (0.0, 'b')]);
    }

    #[test]
    fn cancelled_events_do_not_happen() {
        let mut calendar = Calendar::new(4);
        let first = calendar.schedule(1.0, 0, 'a');
        let second = calendar.schedule(2.0, 0, 'b');
        let third = calendar.schedule(2.0, 0, 'c');
        assert!(calendar.cancel(second));
        assert!(!calendar.cancel(second));
        assert_eq!(calendar.pop(), Some((1.0, 'a')));
        assert!(!calendar.cancel(first));
        assert_eq!(drain(&mut calendar), [(2.0, 'c')]);
        assert!(!calendar.cancel(third));
    }

    #[test]
    fn a_cleared_calendar_starts_anew_and_old_keys_stay_dead() {
        let mut calendar = Calendar::new(4);
        calendar.schedule(9.0, 0, 'a');
        calendar.pop();
        let old = calendar.schedule(10.0, 0, 'b');
        calendar.clear();
        calendar.schedule(1.0, 0, 'c');
        assert!(!calendar.cancel(old));
        assert_eq!(drain(&mut calendar), [(1.0, 'c')]);
    }

    #[test]
    fn memory_is_kept() {
        let mut calendar = Calendar::new(16);
        let capacity = calendar.entries.capacity();
        for round in 0..100 {
            for i in 0..16 {
                calendar.schedule(f64::from(round * 16 + (i * 7) % 16), 0, i);
            }
            while calendar.pop().is_some() {}
        }
        assert_eq!(calendar.entries.capacity(), capacity);
    }

    #[test]
    #[should_panic(expected = "needs a time")]
    fn no_time_no_event() {
        Calendar::new(1).schedule(f64::NAN, 0, ());
    }

    #[test]
    #[should_panic(expected = "is scheduled after")]
    #[cfg(debug_assertions)]
    fn the_past_is_closed() {
        let mut calendar = Calendar::new(1);
        calendar.schedule(2.0, 0, ());
        calendar.pop();
        calendar.schedule(1.0, 0, ());
    }

    proptest! {
        /// Against the plain definition: a stable sort by (time, priority) of what is left.
        #[test]
        fn order_is_a_stable_sort(
            events in prop::collection::vec((0..6u8, 0..3u8, prop::bool::weighted(0.2)), 0..40)
        ) {
            let mut calendar = Calendar::new(4);
            let mut keys = Vec::new();
            for (i, (time, priority, _)) in events.iter().enumerate() {
                keys.push(calendar.schedule(f64::from(*time), *priority, i));
            }
            for (key, (.., cancelled)) in keys.into_iter().zip(&events) {
                prop_assert!(!cancelled || calendar.cancel(key));
            }
            let mut expected: Vec<usize> =
                (0..events.len()).filter(|i| !events[*i].2).collect();
            expected.sort_by_key(|i| (events[*i].0, events[*i].1));
            prop_assert_eq!(calendar.len(), expected.len());
            let happened: Vec<usize> = drain(&mut calendar).iter().map(|e| e.1).collect();
            prop_assert_eq!(happened, expected);
        }

        /// Scheduling while time goes on: times never go back.
        #[test]
        fn time_never_goes_back(delays in prop::collection::vec(0.0..5.0f64, 1..60)) {
            let mut calendar = Calendar::new(4);
            calendar.schedule(0.0, 0, ());
            let mut now = 0.0;
            for pair in delays.chunks(2) {
                let Some((time, ())) = calendar.pop() else { break };
                prop_assert!(time >= now);
                now = time;
                for delay in pair {
                    calendar.schedule(now + delay, 0, ());
                }
            }
        }
    }
}
