//! The reference campaign as a chain of states, summed without luck.
//!
//! A seal of age k (cycles) and a flag d (the reserve is degraded). In sortie i at most one event
//! comes, in the order seal, hatch, common cause, crew, with chances
//! e_S = 1 - exp((k/eta)^beta - ((k+1)/eta)^beta), (1-b) q, b q, c.
//! Then the first line fails with f1[d] (seal, hatch), 1 (common cause) or f_c (crew), and if it
//! does the haven fails with f2: loss. Who survives an event has d = 1; at the end of each sortie
//! d = 1 turns to 0 with chance rho. Every M-th sortie the seal is renewed with chance r, else it
//! ages.

/// One set of numbers of the reference campaign.
#[derive(Clone, Copy, Debug)]
pub struct Reference {
    pub sorties: usize,
    pub shape: f64,
    pub life: f64,
    pub hatch: f64,
    pub beta: f64,
    pub crew: f64,
    pub first: [f64; 2],
    pub haven: f64,
    pub first_crew: f64,
    pub recovers: f64,
    pub every: usize,
    pub renewed: f64,
    /// events that are made perfect: seal, hatch, common cause, crew
    pub perfect: [bool; 4],
}

/// Set A: seals decide little, common cause half.
pub const A: Reference = Reference {
    sorties: 40,
    shape: 2.5,
    life: 400.0,
    hatch: 2e-4,
    beta: 0.05,
    crew: 5.999_820_003_599_946e-5, // 1 - exp(-6e-5)
    first: [0.03, 0.3],
    haven: 0.1,
    first_crew: 0.05,
    recovers: 0.5,
    every: 20,
    renewed: 0.9,
    perfect: [false; 4],
};

/// Set B: every event ten times rarer, better reserves.
pub fn b() -> Reference {
    Reference {
        life: 400.0 * 10f64.powf(0.4),
        hatch: 2e-5,
        crew: 0.1 * A.crew,
        first: [0.01, 0.1],
        haven: 0.05,
        ..A
    }
}

impl Reference {
    /// Chances of the four events at an age of the seal; at most one of them comes.
    pub fn events(&self, age: usize) -> [f64; 4] {
        let worn = |k: usize| (k as f64 / self.life).powf(self.shape);
        let seal = -(worn(age) - worn(age + 1)).exp_m1();
        let own = [seal, (1.0 - self.beta) * self.hatch, self.beta * self.hatch, self.crew];
        let mut none = 1.0;
        let mut out = [0.0; 4];
        for (i, (p, perfect)) in own.into_iter().zip(self.perfect).enumerate() {
            let p = if perfect { 0.0 } else { p };
            out[i] = none * p;
            none *= 1.0 - p;
        }
        out
    }

    /// Chance that the first line fails after an event.
    pub fn first_line(&self, event: usize, degraded: bool) -> f64 {
        match event {
            0 | 1 => self.first[usize::from(degraded)],
            2 => 1.0,
            _ => self.first_crew,
        }
    }
}

/// What the chain says.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known {
    pub loss: f64,
    /// expected events before loss
    pub events: [f64; 4],
    /// expected demands for the haven
    pub demands: f64,
    /// chance of no event in the campaign
    pub quiet: f64,
    /// expected sum of the squares of the chances of loss that events bring: as events are rare,
    /// the variance of the sum of these chances
    pub squares: f64,
    /// loss by event and by whether the reserve was degraded then
    pub by_path: [[f64; 2]; 4],
}

/// Sums the chain.
pub fn known(r: &Reference) -> Known {
    let mut known = Known { quiet: 1.0, ..Known::default() };
    // chance of being alive with an age and a state of the reserve
    let mut alive = vec![[0.0; 2]; r.sorties + 1];
    alive[0][0] = 1.0;
    let mut quiet = vec![0.0; r.sorties + 1];
    quiet[0] = 1.0;
    for i in 1..=r.sorties {
        let mut next = vec![[0.0; 2]; r.sorties + 2];
        let mut next_quiet = vec![0.0; r.sorties + 2];
        let renewed = if i % r.every == 0 { r.renewed } else { 0.0 };
        for age in 0..i {
            let events = r.events(age);
            let none = 1.0 - events.iter().sum::<f64>();
            let mut after = [none * alive[age][0], none * alive[age][1]];
            for (e, p) in events.into_iter().enumerate() {
                for (d, there) in alive[age].into_iter().enumerate() {
                    let come = there * p;
                    let demanded = come * r.first_line(e, d == 1);
                    let lost = demanded * r.haven;
                    known.events[e] += come;
                    known.demands += demanded;
                    known.by_path[e][d] += lost;
                    known.squares += come * (r.first_line(e, d == 1) * r.haven).powi(2);
                    after[1] += come - lost;
                }
            }
            after = [after[0] + r.recovers * after[1], (1.0 - r.recovers) * after[1]];
            for (d, p) in after.into_iter().enumerate() {
                next[0][d] += renewed * p;
                next[age + 1][d] += (1.0 - renewed) * p;
            }
            next_quiet[0] += renewed * none * quiet[age];
            next_quiet[age + 1] += (1.0 - renewed) * none * quiet[age];
        }
        (alive, quiet) = (next, next_quiet);
    }
    known.loss = known.by_path.as_flattened().iter().sum();
    known.quiet = quiet.iter().sum();
    known
}

#[track_caller]
fn loss(r: Reference, expected: f64) {
    super::close("loss", known(&r).loss, expected, 1e-12);
}

/// Values computed by two programs independently of this one (agreeing to 1e-13); 12 to 14 digits
/// are given.
#[test]
fn the_chain_gives_known_answers() {
    super::close("crew", A.crew, -(-6e-5_f64).exp_m1(), 1e-15);
    loss(A, 7.881_878_490_395_0e-5);
    loss(b(), 3.046_153_169_459_0e-6);
    let near = |r: Reference, expected: f64| {
        super::close("variant", known(&r).loss, expected, 1e-12);
    };
    near(Reference { haven: 0.08, ..A }, 6.305_558_552_139e-5);
    near(Reference { sorties: 1, ..A }, 1.870_677_918_109e-6);
    near(Reference { sorties: 20, ..A }, 3.910_051_251_374e-5);
    near(Reference { first: [0.03; 2], ..A }, 7.875_139_312_113e-5);
    near(Reference { haven: 1.0, ..A }, 7.878_742_924_466e-4);
    near(Reference { recovers: 1.0, ..A }, 7.875_139_312_113e-5);
    near(Reference { renewed: 1.0, ..A }, 7.820_281_183_480e-5);
    near(Reference { shape: 1.0, ..A }, 3.817_080_933_446e-4);
    near(Reference { beta: 0.1, ..A }, 1.176_038_113_687e-4);
    assert_eq!(known(&Reference { haven: 0.0, ..A }).loss, 0.0);
}

/// Same source: what leads there.
#[test]
fn the_chain_gives_known_paths_and_importances() {
    let k = known(&A);
    let near = |found: f64, expected: f64| super::close("part", found, expected, 1e-9);
    near(k.quiet, 0.988_345_452_075);
    near(known(&b()).quiet, 0.998_828_442_095);
    near(k.demands, 7.881_878_490e-4);
    let events = [1.322_352_443e-3, 7.599_460_747e-3, 3.998_956_237e-4, 2.399_277_769e-3];
    k.events.iter().zip(events).for_each(|(x, e)| near(*x, e));
    let paths = [
        (0, 0, 3.965_824_003e-6),
        (1, 0, 2.279_212_733e-5),
        (0, 1, 1.233_326_914e-8),
        (1, 1, 6.254_908_746e-8),
    ];
    paths.into_iter().for_each(|(e, d, x)| near(k.by_path[e][d], x));
    near(k.by_path[2].iter().sum(), 3.998_956_237e-5);
    near(k.by_path[3].iter().sum(), 1.199_638_885e-5);
    let removed =
        [7.483_721_407_179e-5, 5.596_788_264_805e-5, 3.882_804_760_593e-5, 6.680_904_158_894e-5];
    let shares = [0.050_515_506, 0.289_916_957, 0.507_375_714, 0.152_371_587];
    for (e, (without, share)) in removed.into_iter().zip(shares).enumerate() {
        let mut perfect = [false; 4];
        perfect[e] = true;
        let q = known(&Reference { perfect, ..A }).loss;
        super::close("removed", q, without, 1e-12);
        assert!((1.0 - q / k.loss - share).abs() < 1e-9, "event {e}");
    }
}
