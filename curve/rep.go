package curve

// A Rep is one jump attempt found in a recording, measured. It holds no samples of the recording; Motion is derived
// again by Trace when a curve is to be drawn.
type Rep struct {
	// Number counts the reps of a recording from 1.
	Number int
	// From and To are the first sample of the rep and the one after its last.
	From, To int
	// Flew is false when the athlete moved but never left the plates; all landmarks but the onset are then NaN.
	Flew bool
	// Weighing says how body weight was got.
	Weighing  Weighing
	Landmarks Landmarks
	Phases    []Phase
	// Values are parallel to Metrics.
	Values []Value
	// Peak force and lowest force of the rep in newtons, for a common scale.
	PeakForceN float64
	// Signs are facts that the checks ask for.
	Signs Signs
}

// Landmarks are instants in seconds on the recording's clock; NaN where one could not be found.
type Landmarks struct {
	OnsetS            float64
	MinForceS         float64
	PeakDownVelocityS float64
	LowPointS         float64
	TakeoffS          float64
	LandingS          float64
}

// A NamedInstant is a landmark with its name.
type NamedInstant struct {
	Name string
	S    float64
}

// List returns the landmarks in the order of time, with the names used in files.
func (l Landmarks) List() []NamedInstant {
	return []NamedInstant{
		{"onset", l.OnsetS}, {"min_force", l.MinForceS}, {"peak_down_velocity", l.PeakDownVelocityS},
		{"low_point", l.LowPointS}, {"takeoff", l.TakeoffS}, {"landing", l.LandingS},
	}
}

// A Phase is a span between landmarks with what happened in it.
type Phase struct {
	Name string
	Span Span
	// ImpulseNs is the net impulse (force less body weight, over time) in newton seconds.
	ImpulseNs float64
	// MeanForceN is the mean total force in newtons.
	MeanForceN float64
	// LeftShare is the left side's share of the mean force, 0 to 1; NaN without sides or without force.
	LeftShare float64
}

// Metric returns the value of a metric by its key; an unknown key gives an unknown value.
func (r *Rep) Metric(key string) Value {
	if i, ok := metricTable().at[key]; ok && i < len(r.Values) {
		return r.Values[i]
	}
	return unknown("no metric is called " + key)
}

// Phase returns the phase of that name.
func (r *Rep) Phase(name string) (Phase, bool) {
	for _, p := range r.Phases {
		if p.Name == name {
			return p, true
		}
	}
	return Phase{}, false
}
