//! The engine against formulas and hand arithmetic: failures, ways back, havens, hurt persons, parts
//! that wear, plans and shared ports. Every statistical comparison uses the base seed and |z| <= 4
//! (false alarm 6.3e-5 each); none is re-rolled.


mod asked;
mod batches;
mod clocks;
mod common_cause;
mod conditions;
mod days;
mod dusts;
mod edges;
mod ended;
mod errands;
mod failures;
mod given_up;
mod haven_days;
mod havens;
mod homes;
mod hours;
mod hurt;
mod levels;
mod limits;
mod lost;
mod mass;
mod means;
mod order;
mod overrides;
mod parked;
mod parts;
mod people;
mod planned_end;
mod plans;
mod played;
mod rescue;
mod seals;
mod services;
mod shared;
mod shut_in;
mod singles;
mod sky;
mod spares;
mod spreads;
mod stores;
mod suits;
mod supply;
mod told;
mod traverses;
mod triggers;
mod upkeep;
mod ways_back;
mod wear;
