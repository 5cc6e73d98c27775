//! Differences campaign by campaign, where both folders kept the same campaigns on the same random
//! numbers. Both files are read side by side; memory does not grow with their length.

use crate::measure::{Kind, MEASURES, Measure, Read};
use crate::report::book::{Book, PageError};
use crate::report::files::CAMPAIGNS;
use crate::stats::moments::{CoMoments, Moments};
use std::collections::BTreeMap;
use std::path::Path;

/// What was seen of one measure of one architecture.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// differences after less before, of units (campaigns, or sets of them)
    pub difference: Moments,
    /// of a ratio: numerators and denominators as [`crate::stats::shift::paired_ratios`] wants them
    pub ratio: Option<CoMoments<4>>,
    /// flags that went up, down
    pub flags: (u64, u64),
    /// campaigns with a value in one folder only
    pub lone: u64,
    /// campaigns whose values differ
    pub differ: u64,
    open: Open,
}

/// Sums over the set that is being read.
#[derive(Clone, Copy, Debug, Default)]
struct Open {
    n: u64,
    sum: [f64; 4],
}

impl Seen {
    const NONE: Seen = Seen {
        difference: Moments { n: 0, mean: 0.0, m2: 0.0 },
        ratio: None,
        flags: (0, 0),
        lone: 0,
        differ: 0,
        open: Open { n: 0, sum: [0.0; 4] },
    };

    /// A pair of values, and for a ratio the pair of its denominators.
    fn add(&mut self, [a, b]: [Option<f64>; 2], below: Option<[f64; 2]>, ratio: bool) {
        let (Some(a), Some(b)) = (a, b) else {
            if a != b {
                self.lone += 1;
            }
            return;
        };
        self.differ += u64::from(a != b);
        self.flags.0 += u64::from(b > a);
        self.flags.1 += u64::from(b < a);
        let values = match below {
            Some([y, after]) if ratio => {
                let (x, after_x) = (a * y, b * after);
                [after_x - x, after - y, x, y]
            }
            _ => [b - a, 0.0, 0.0, 0.0],
        };
        self.open.n += 1;
        self.open.sum.iter_mut().zip(values).for_each(|(s, v)| *s += v);
    }

    /// Ends a unit.
    fn close(&mut self, ratio: bool) {
        let open = std::mem::take(&mut self.open);
        if open.n == 0 {
            return;
        }
        let mean = open.sum.map(|s| s / open.n as f64);
        match ratio {
            true => self.ratio.get_or_insert(CoMoments::EMPTY).merge(&CoMoments {
                n: 1,
                mean,
                c: [[0.0; 4]; 4],
            }),
            false => self.difference.merge(&Moments::one(mean[0])),
        }
    }
}

/// What was seen, by architecture and measure.
#[derive(Clone, Debug)]
pub(super) struct Pairs {
    seen: BTreeMap<String, Vec<Seen>>,
    unit: u64,
}

impl Pairs {
    /// A measure of an architecture.
    pub fn get(&self, arm: &str, measure: &str) -> Option<&Seen> {
        let column = MEASURES.iter().position(|m| m.name == measure)?;
        self.seen.get(arm)?.get(column)
    }
    /// Are parameter sets compared, of several campaigns each?
    pub fn sets(&self) -> bool {
        self.unit > 1
    }
}

/// A measure that is a ratio of sums of which the denominator is a measure too: its index.
pub(super) fn denominator(m: &Measure) -> Option<usize> {
    let Read::Ratio(_, below) = m.read else { return None };
    MEASURES.iter().position(|d| d.read == Read::Of(below))
}

/// Pairs of both folders, or none; with words that say why.
pub(super) fn read(
    folders: [&Path; 2],
    books: &[Book; 2],
) -> Result<(Option<Pairs>, String), PageError> {
    let [a, b] = books.each_ref().map(|b| &b.manifest);
    let same = a.seed == b.seed && a.campaigns == b.campaigns && a.luck == b.luck;
    if !same || a.inner != b.inner {
        let what = "seed, campaigns or scheme of random numbers differ";
        return Ok((None, format!(", because {what}")));
    }
    let kept = |folder: &Path, book: &Book| {
        book.manifest.tables.iter().any(|t| t == CAMPAIGNS) && folder.join(CAMPAIGNS).is_file()
    };
    if !folders.iter().zip(books).all(|(f, b)| kept(f, b)) {
        let what = ", although seed and campaigns agree, because campaigns.csv was not kept in \
                    both; run both with --keep-campaigns for a much sharper test";
        return Ok((None, what.into()));
    }
    let unit = a.inner.unwrap_or(1).max(1);
    let mut tables = [Kept::open(folders[0])?, Kept::open(folders[1])?];
    let mut pairs = Pairs { seen: BTreeMap::new(), unit };
    for campaign in 0..a.campaigns {
        let rows = [tables[0].campaign(books[0].arms())?, tables[1].campaign(books[1].arms())?];
        for (arm, before) in books[0].arms().iter().zip(&rows[0]) {
            let Some(at) = books[1].arms().iter().position(|x| x == arm) else { continue };
            let seen = pairs.seen.entry(arm.clone());
            let seen = seen.or_insert_with(|| vec![Seen::NONE; MEASURES.len()]);
            take(seen, [before, &rows[1][at]], (campaign + 1).is_multiple_of(unit));
        }
    }
    Ok((Some(pairs), String::new()))
}

/// One campaign of one architecture in both folders.
fn take(seen: &mut [Seen], rows: [&Vec<Option<f64>>; 2], ends: bool) {
    for (column, m) in MEASURES.iter().enumerate() {
        let below = denominator(m);
        let ratio = m.kind == Kind::Ratio && below.is_some();
        let of = |column: usize| rows.map(|r| r[column]);
        let below = below.and_then(|d| Some([of(d)[0]?, of(d)[1]?]));
        // Without anything below there is no ratio, and nothing above it counts.
        let values = match (ratio, below) {
            (true, Some(y)) => [0, 1].map(|i| of(column)[i].or((y[i] == 0.0).then_some(0.0))),
            _ => of(column),
        };
        seen[column].add(values, below, ratio);
        if ends {
            seen[column].close(ratio);
        }
    }
}

/// `campaigns.csv` of a folder, read campaign by campaign.
struct Kept {
    rows: csv::StringRecordsIntoIter<std::fs::File>,
    columns: Vec<Option<usize>>,
    path: std::path::PathBuf,
}

impl Kept {
    fn open(folder: &Path) -> Result<Kept, PageError> {
        let path = folder.join(CAMPAIGNS);
        let wrong = |what: String| PageError::Wrong { path: path.clone(), what };
        let mut reader = csv::ReaderBuilder::new()
            .buffer_capacity(1 << 18)
            .from_path(&path)
            .map_err(|e| wrong(e.to_string()))?;
        let header = reader.headers().map_err(|e| wrong(e.to_string()))?.clone();
        let at = |m: &Measure| header.iter().position(|h| h == m.name);
        let columns = MEASURES.iter().map(at).collect();
        Ok(Kept { rows: reader.into_records(), columns, path })
    }

    /// The rows of the next campaign: values of every measure for each architecture.
    fn campaign(&mut self, arms: &[String]) -> Result<Vec<Vec<Option<f64>>>, PageError> {
        let path = self.path.clone();
        let wrong = |what: String| PageError::Wrong { path: path.clone(), what };
        let mut out = Vec::with_capacity(arms.len());
        for arm in arms {
            let row = self.rows.next().ok_or_else(|| wrong("rows are missing".into()))?;
            let row = row.map_err(|e| wrong(e.to_string()))?;
            if row.get(0) != Some(arm) {
                return Err(wrong(format!(
                    "row {} is not of {arm}",
                    row.position().map_or(0, |p| p.line())
                )));
            }
            let value = |at: &Option<usize>| row.get((*at)?)?.parse().ok();
            out.push(self.columns.iter().map(value).collect());
        }
        Ok(out)
    }
}
