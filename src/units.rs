//! Typed quantities: parsing "10.2 psi" into SI, one display rule.
