//! Registry of measures: name, unit, meaning, how read from the facts of a campaign.
