//! Lists that start from inside and fail part-way: where one goes back in (rule 3).

use super::rules;
use super::walks::Walker;
use crate::plan::walk::{self, Group};
use crate::plan::{Entry, NONE, Places};

impl Walker<'_, '_, '_> {
    /// For each row of a list that starts from inside, where one enters another list when the row has
    /// failed: the first list, and of it the first row, from which the rest walks to rest.
    pub(super) fn aborts(
        &mut self,
        id: u16,
        back: &[u16],
        mut state: Places,
        g: Group,
    ) -> Vec<Option<Entry>> {
        let l = self.l;
        let list = &l.lists[id as usize];
        let rests = |p: &Places, (way, row): (u16, usize)| {
            let (way, mut p) = (&l.lists[way as usize], p.clone());
            walk::walk(l, &mut p, way, row, g).is_ok()
                && walk::all_in(l, &p, g.team)
                && walk::astray(l, &p, list.port).is_none()
                && walk::astray(l, &p, NONE).is_none()
        };
        let mut entries = Vec::new();
        for (i, row) in list.rows.iter().enumerate() {
            let rows = |way: u16| (0..=l.lists[way as usize].rows.len()).map(move |j| (way, j));
            let mut all = back.iter().flat_map(|way| rows(*way));
            let entry = all.find(|at| rests(&state, *at));
            if entry.is_none() {
                let names: Vec<&str> =
                    back.iter().map(|w| l.lists[*w as usize].name.as_str()).collect();
                let what = format!(
                    "when row {} `{}` of `{}` fails, no row of {} leads back to rest",
                    i + 1,
                    row.written.label,
                    list.path,
                    names.join(" or ")
                );
                self.say.rule(&rules::NO_ABORT, row.written.at, what);
            }
            entries.push(entry.map(|(list, j)| Entry { list, row: j as u16 }));
            if walk::step(l, &mut state, list, i, g).is_err() {
                break;
            }
        }
        entries
    }
}
