//! Whole numbers and flags.

use super::*;

impl<'a> Table<'a> {
    /// A whole number that may be left out.
    pub fn count_opt(&self, name: &str) -> Option<Spot<u32>> {
        let Kind::Count(least) = self.key(name).kind else {
            panic!("{}.{name} is not a count", self.section.name);
        };
        if let Some(node) = self.node(name) {
            let read = count(self.ctx, node, i128::from(least), i128::from(u32::MAX));
            let it = read.and_then(|n| u32::try_from(n).ok()).unwrap_or(least);
            return Some(Spot { it, at: node.at });
        }
        match self.key(name).need {
            Need::Default(text) => text.parse().ok().map(|it| Spot { it, at: self.at }),
            _ => None,
        }
    }

    /// A large whole number: a seed, or a number of campaigns.
    pub fn large(&self, name: &str) -> u64 {
        self.large_opt(name).unwrap_or(1)
    }

    /// A large whole number that may be left out.
    pub fn large_opt(&self, name: &str) -> Option<u64> {
        let least = match self.key(name).kind {
            Kind::Count(least) => i128::from(least),
            _ => 0,
        };
        let node = self.node(name)?;
        let read = count(self.ctx, node, least, i128::from(i64::MAX));
        // What could not be read is there all the same, and has its finding.
        Some(read.and_then(|n| u64::try_from(n).ok()).unwrap_or(1))
    }

    /// `true` or `false`.
    pub fn flag(&self, name: &str) -> Spot<bool> {
        let Some(node) = self.node(name) else {
            let it = self.key(name).need == Need::Default("true");
            return Spot { it, at: self.at };
        };
        let it = match node.value {
            Value::Flag(flag) => flag,
            _ => {
                self.ctx.wrong(node, "true or false (without quotes)");
                false
            }
        };
        Spot { it, at: node.at }
    }
}
