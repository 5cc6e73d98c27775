//! Commands as a person reads them on a terminal.

/// An argument as a shell takes it: quoted where it has to be.
pub fn quoted(argument: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./:,+=@%".contains(c);
    if !argument.is_empty() && argument.chars().all(plain) {
        return argument.into();
    }
    format!("'{}'", argument.replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arguments_are_quoted_where_a_shell_would_split_them() {
        assert_eq!(quoted("runs/a.toml"), "runs/a.toml");
        assert_eq!(quoted("my base/a.toml"), "'my base/a.toml'");
        assert_eq!(quoted("it's"), r"'it'\''s'");
        assert_eq!(quoted(""), "''");
    }
}
