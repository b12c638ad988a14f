package curve

import "sync"

// Metrics returns the metric table, in the order of screens and files. Adding a metric is a row in metricRows, a function
// in its family's file and a test. The caller must not change it.
func Metrics() []Metric { return metricTable().rows }

// A table is the metric table with where each key stands in it.
type table struct {
	rows []Metric
	at   map[string]int
}

var metricTable = sync.OnceValue(func() table { //nolint:gochecknoglobals // built once, never changed
	t := table{rows: metricRows(), at: map[string]int{}}
	for i, m := range t.rows {
		t.at[m.Key] = i
	}
	return t
})

func metricRows() []Metric {
	rows := []Metric{
		{Key: "body_weight_n", Name: "body weight", Unit: "N", Decimals: 2, Uncertain: true, compute: bodyWeight,
			Formula: "mean force of the still stance, sharpened by the mean force from rest to rest", Source: "Owen2014; Sampling2010"},
		{Key: "body_mass_kg", Name: "body mass", Unit: "kg", Decimals: 3, Uncertain: true, compute: bodyMass,
			Formula: "body weight / g", Source: "definition"},
		{Key: "jump_height_m", Name: "jump height", Unit: "m", Decimals: 5, Uncertain: true, compute: jumpHeight,
			Formula: "v_takeoff^2 / (2 g)", Source: "Linthorne2001; Dowling1993"},
		{Key: "flight_height_m", Name: "flight height", Unit: "m", Decimals: 5, Uncertain: true, compute: flightHeight,
			Formula: "g T^2 / 8", Source: "Linthorne2001; Duarte"},
		{Key: "flight_time_s", Name: "flight time", Unit: "s", Decimals: 5, Uncertain: true, compute: flightTime,
			Formula: "landing - takeoff", Source: "Duarte"},
		{Key: "takeoff_velocity_ms", Name: "takeoff velocity", Unit: "m/s", Decimals: 5, Uncertain: true, compute: takeoffVelocity,
			Formula: "integral of (F - W) / m from onset to takeoff", Source: "Linthorne2001; Dowling1993"},
		{Key: "time_to_takeoff_s", Name: "time to takeoff", Unit: "s", Decimals: 5, Uncertain: true, compute: timeToTakeoff,
			Formula: "takeoff - onset", Source: "Metrics2023"},
		{Key: "depth_m", Name: "depth", Unit: "m", Decimals: 5, Uncertain: true, compute: depth,
			Formula: "-(lowest displacement)", Source: "Metrics2023"},
		{Key: "peak_propulsion_force_n", Name: "peak propulsion force", Unit: "N", Decimals: 2, compute: peakPropulsionForce,
			Formula: "largest F in propulsion", Source: "Metrics2023"},
		{Key: "force_at_low_point_n", Name: "force at low point", Unit: "N", Decimals: 2, compute: forceAtLowPoint,
			Formula: "F where v = 0", Source: "Metrics2023"},
		{Key: "rsi_modified", Name: "RSI modified", Unit: "m/s", Decimals: 5, Uncertain: true, compute: rsiModified,
			Formula: "jump height / time to takeoff", Source: "Sole2018"},
		{Key: "flight_contraction_ratio", Name: "flight time : time to takeoff", Unit: "1", Decimals: 5, Uncertain: true, compute: flightContraction,
			Formula: "flight time / time to takeoff", Source: "Cormack2008 (name from memory)"},
		{Key: "braking_rfd_ns", Name: "braking RFD", Unit: "N/s", Decimals: 1, compute: brakingRFD,
			Formula: "(F at low point - F at start of braking) / braking time", Source: "Metrics2023"},
		{Key: "peak_power_w", Name: "peak power", Unit: "W", Decimals: 1, Uncertain: true, compute: peakPower,
			Formula: "largest F v in propulsion", Source: "Dowling1993; Owen2014"},
		{Key: "peak_power_wkg", Name: "peak power per mass", Unit: "W/kg", Decimals: 3, Uncertain: true, compute: peakPowerPerMass,
			Formula: "peak power / body mass", Source: "Owen2014"},
	}
	rows = append(rows, impulseMetrics()...)
	rows = append(rows, landingMetrics()...)
	rows = append(rows, Metric{Key: "mean_rise_ns", Name: "mean rise", Unit: "N/s", Decimals: 1, compute: meanRise,
		Formula: "(peak F - minimum F) / time between them, before takeoff", Source: "Dowling1993 (average slope of minimum to maximum force)"},
		Metric{Key: "peak_rise_ns", Name: "peak rise", Unit: "N/s", Decimals: 1, compute: peakRise,
			Formula: "steepest rise of F, as a 20 ms mean, over 20 ms between minimum force and peak", Source: "Dowling1993 (maximum positive slope of force)"},
		Metric{Key: "ripples", Name: "ripples before takeoff", Unit: "1", compute: ripples,
			Formula: "force peaks too small to be humps, by prominence", Source: projectDefault})
	rows = append(rows, Metric{Key: "humps", Name: "humps before takeoff", Unit: "1", compute: humps,
		Formula: "force peaks between peak downward velocity and takeoff, by prominence; 2 for two or more", Source: "Modality2024"})
	return append(rows, asymmetryMetrics()...)
}

func impulseMetrics() []Metric {
	row := func(key, phase string, compute func(*workings) Value) Metric {
		return Metric{Key: key, Name: phase + " impulse", Unit: "N.s", Decimals: 3, Uncertain: true, compute: compute,
			Formula: "integral of F - W over " + phase, Source: "Metrics2023; halves of propulsion by time"}
	}
	return []Metric{
		row("unweighting_impulse_ns", PhaseUnweighting, unweightingImpulse),
		row("braking_impulse_ns", PhaseBraking, brakingImpulse),
		row("propulsion_impulse_ns", PhasePropulsion, propulsionImpulse),
		row("early_propulsion_impulse_ns", PhaseEarlyPropulsion, earlyPropulsionImpulse),
		row("late_propulsion_impulse_ns", PhaseLatePropulsion, latePropulsionImpulse),
	}
}

func landingMetrics() []Metric {
	return []Metric{
		{Key: "landing_peak_force_n", Name: "landing peak force", Unit: "N", Decimals: 2, compute: landingPeakForce,
			Formula: "largest F within the landing window", Source: "Rojano2010"},
		{Key: "landing_loading_rate_ns", Name: "landing loading rate", Unit: "N/s", Decimals: 0, compute: landingLoadingRate,
			Formula: "landing peak force / time from landing to the peak", Source: "from memory"},
		{Key: "time_to_stabilisation_s", Name: "time to stabilisation", Unit: "s", Decimals: 4, compute: timeToStabilisation,
			Formula: "landing until F stays within the settle band of W for the settle time (5 %, 1 s)", Source: "Flanagan2008 (from memory)"},
	}
}

func asymmetryMetrics() []Metric {
	row := func(key, phase string, compute func(*workings) Value) Metric {
		return Metric{Key: key, Name: phase + " asymmetry", Unit: "%", Decimals: 3, compute: compute,
			Formula: "(L - R) / (L + R) x 100 of the mean forces in " + phase + ", positive is left", Source: "Bishop2018"}
	}
	return []Metric{
		row("braking_asymmetry_pct", PhaseBraking, brakingAsymmetry),
		row("propulsion_asymmetry_pct", PhasePropulsion, propulsionAsymmetry),
		row("early_propulsion_asymmetry_pct", PhaseEarlyPropulsion, earlyPropulsionAsymmetry),
		row("late_propulsion_asymmetry_pct", PhaseLatePropulsion, latePropulsionAsymmetry),
		row("landing_asymmetry_pct", PhaseLanding, landingAsymmetry),
	}
}
