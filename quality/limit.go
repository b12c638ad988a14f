package quality

import "fmt"

// A Limit is a row of the table of thresholds: value, unit, where the value comes from, what moves when it is changed.
type Limit struct {
	Key         string
	Value       float64
	Unit        string
	Source      string
	Effect      string
	Least, Most float64
	SetIn       string // the settings file that set it; empty for the default
}

// Limits are the thresholds in force, by key.
type Limits struct{ rows []Limit }

const projectDefault = "project default"

// DefaultLimits returns the thresholds in force when nothing is set. Each stands here and nowhere else.
func DefaultLimits() Limits {
	l := Limits{}
	add := func(key string, value float64, unit, source, effect string) {
		l.rows = append(l.rows, Limit{Key: key, Value: value, Unit: unit, Source: source, Effect: effect,
			Least: 0, Most: 1e6})
	}
	add("sway_look", 0.85, "% of body weight", projectDefault+"; two real quiet stances: 0.36 and 0.76 % SD",
		"swing of the total in the last second: lower asks to look at calmer stances")
	add("sway_redo", 1.15, "% of body weight", projectDefault+"; 1 % of weight costs about 8 % of height",
		"swing of the total in the last second that spoils the weighing")
	add("shift_look", 2.5, "% of the total", projectDefault, "travel of the left share in the last second: lower asks to look sooner")
	add("shift_redo", 3.5, "% of the total", projectDefault, "travel of the left share in the last second that spoils the stance")
	add("stance_redo", 0.5, "s", projectDefault+"; published protocols weigh 1 s (Owen 2014)", "stillness before the onset below which weight cannot be trusted")
	add("stance_look", 1.0, "s", "Owen 2014", "stillness before the onset below which a person should look")
	add("early_load", 2.2, "% of body weight", projectDefault, "loading or dip of its own just before the movement: lower finds gentler ones")
	add("zero_look", 5, "N", projectDefault+"; half the 10 N takeoff threshold", "reading of an unloaded plate that is worth a look")
	add("zero_height", 1, "cm", projectDefault, "change of jump height by the offset from which the rep is spoilt")
	add("off_plate", 10, "% of body weight", projectDefault, "load on a plate after landing below which the foot missed it")
	add("height_gap_cm", 3, "cm", projectDefault+"; published mean gap 1.7 cm", "gap between the two heights: lower asks sooner")
	add("height_gap_pct", 10, "% of jump height", projectDefault, "the same in per cent; the larger of both counts")
	add("settle_velocity", 0.25, "m/s", projectDefault+"; weight error of 0.5 % drifts 0.1 m/s in 2 s", "velocity left over when standing again")
	add("settle_force", 2, "% of body weight", projectDefault, "difference of the standing force after landing from before")
	add("weight_change", 1.5, "% of body weight", projectDefault+"; 1 % costs about 8 % of height", "distance from the athlete's other reps")
	add("odd_spread", 4, "robust SD", projectDefault, "distance from the athlete's other reps that makes one odd")
	add("odd_height", 8, "% of the median", projectDefault+"; twice the published CV of 4 % (height)", "least distance in height that is odd")
	add("odd_depth", 25, "% of the median", projectDefault+"; 26 % shallower costs 8 % of height", "least distance in depth that is odd")
	add("odd_time", 20, "% of the median", projectDefault, "least distance in time to takeoff that is odd")
	add("rate_look", 500, "Hz", "Sampling 2010: 0.1-0.2 cm at 500 Hz, 0.5-0.6 cm at 200 Hz", "sampling rate below which height suffers")
	return l
}

// Get returns the value of a limit. An unknown key is a programming error and panics.
func (l Limits) Get(key string) float64 {
	for _, r := range l.rows {
		if r.Key == key {
			return r.Value
		}
	}
	panic("quality: no limit is called " + key)
}

// Rows returns the table. The caller must not change it.
func (l Limits) Rows() []Limit { return l.rows }

// Set returns the limits with one value changed, and where it was set. It refuses an unknown key and a value out of
// range.
func (l Limits) Set(key string, value float64, setIn string) (Limits, error) {
	rows := append([]Limit(nil), l.rows...)
	for i := range rows {
		if rows[i].Key != key {
			continue
		}
		if !(value >= rows[i].Least && value <= rows[i].Most) {
			return l, fmt.Errorf("limit %s is %g %s, outside %g to %g", key, value, rows[i].Unit, rows[i].Least, rows[i].Most)
		}
		rows[i].Value, rows[i].SetIn = value, setIn
		return Limits{rows}, nil
	}
	return l, fmt.Errorf("no limit is called %s", key)
}
