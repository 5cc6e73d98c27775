//! Places, openings, step rows: the symbolic half of the model, shared by the dry walk and by play.
