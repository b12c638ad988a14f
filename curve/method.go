package curve

import "fmt"

// StandardGravityMS2 is standard gravity, by definition of the 3rd General Conference on Weights and Measures, 1901.
const StandardGravityMS2 = 9.80665

// A Method is the set of choices by which a recording is measured. Two sessions can be compared when their methods are
// equal, so the method is written into every file.
type Method struct {
	// GravityMS2 is the acceleration of free fall at the place of testing.
	GravityMS2 float64
	// Onset names the rule for the start of movement, see OnsetRules.
	Onset string
	// Weighing names the way to body weight, see WeighingRules.
	Weighing string

	StillBandPct      float64
	OnsetGuardS       float64
	OnsetFloorN       float64
	FlightSDs         float64
	FlightFloorN      float64
	FlightMinS        float64
	FlightMaxS        float64
	HumpProminencePct float64
	RipplePct         float64
	SettleBandPct     float64
	SettleHoldS       float64
	LandingWindowS    float64
	BridgeS           float64
}

// DefaultMethod returns the method in force when nothing is set.
func DefaultMethod() Method {
	return Method{
		GravityMS2: StandardGravityMS2, Onset: OnsetTraced, Weighing: WeighingClosed,
		StillBandPct: 1.5, OnsetGuardS: 0.03, OnsetFloorN: 5,
		FlightSDs: 5, FlightFloorN: 10, FlightMinS: 0.08, FlightMaxS: 1.3,
		HumpProminencePct: 2.5, RipplePct: 0.8, SettleBandPct: 5, SettleHoldS: 1, LandingWindowS: 0.5, BridgeS: 0.004,
	}
}

// A Parameter is a row of the table of method values: what it is, where it comes from, what moves when it is changed.
type Parameter struct {
	Key            string
	Value          *float64
	Unit           string
	Source, Effect string
	Least, Most    float64
}

// projectDefault marks a value that no paper gives.
const projectDefault = "project default"

// Parameters returns the numbers of the method; Value points into m, so that settings can change them.
func (m *Method) Parameters() []Parameter {
	return []Parameter{
		{"gravity", &m.GravityMS2, "m/s2", "standard gravity, CGPM 1901", "mass and every height, in proportion", 9.7, 9.9},
		{"still_band", &m.StillBandPct, "% of body weight", projectDefault,
			"how far the smoothed force may stray and still be weighed; wider takes in fidgets", 0.2, 10},
		{"onset_guard", &m.OnsetGuardS, "s", "Owen 2014",
			"how long before the threshold the movement is taken to have begun; the weighing window ends there", 0, 0.2},
		{"onset_floor", &m.OnsetFloorN, "N", projectDefault,
			"least onset threshold where the stance shows no noise at all", 1, 50},
		{"flight_sds", &m.FlightSDs, "SD of flight force", "McMahon 2018, from memory",
			"height of the takeoff and landing threshold", 2, 10},
		{"flight_floor", &m.FlightFloorN, "N", "Perez-Castilla 2021",
			"least takeoff and landing threshold; 5 to 30 N is +10 ms of flight", 2, 60},
		{"flight_min", &m.FlightMinS, "s", projectDefault, "shorter gaps between feet and plate are no flight", 0.03, 0.3},
		{"flight_max", &m.FlightMaxS, "s", projectDefault, "longer ones are stepping off (1.3 s would be 2 m high)", 0.5, 2},
		{"hump_prominence", &m.HumpProminencePct, "% of peak force", projectDefault + "; Modality 2024 varies it",
			"how deep the dip between two humps must be to count as two", 0.5, 20},
		{"ripple_prominence", &m.RipplePct, "% of peak force", projectDefault,
			"how deep a dip must be to make the push ragged; below plate noise everything is", 0.1, 20},
		{"settle_band", &m.SettleBandPct, "% of body weight", "Flanagan 2008, from memory",
			"time to stabilisation: a wider band is reached sooner", 1, 20},
		{"settle_hold", &m.SettleHoldS, "s", "Flanagan 2008, from memory",
			"time to stabilisation: how long the force must stay in the band", 0.2, 5},
		{"landing_window", &m.LandingWindowS, "s", projectDefault, "where the landing peak is looked for", 0.1, 2},
		{"bridge", &m.BridgeS, "s", projectDefault,
			"longest run of missing samples that is bridged by a straight line for a metric", 0, 0.02},
	}
}

// Check returns an error that names the first value out of its range or the first unknown rule.
func (m Method) Check() error {
	if _, err := onsetRule(m.Onset); err != nil {
		return err
	}
	if m.Weighing != WeighingClosed && m.Weighing != WeighingStance {
		return fmt.Errorf("weighing %q is none of %s, %s", m.Weighing, WeighingClosed, WeighingStance)
	}
	for _, p := range m.Parameters() {
		if !(*p.Value >= p.Least && *p.Value <= p.Most) {
			return fmt.Errorf("%s is %g %s, outside %g to %g", p.Key, *p.Value, p.Unit, p.Least, p.Most)
		}
	}
	return nil
}
