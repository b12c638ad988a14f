// Package curvetest holds recordings with known answers: closed-form jumps, simulated ones, and a way to the simulated
// reps that live beside the project and are never copied into it.
package curvetest

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"plateside/curve"
)

// A Truth is what an independent simulator knows of a rep. Nil pointers are what does not exist in it.
type Truth struct {
	Label             string      `json:"label"`
	Kind              string      `json:"kind"`
	MassKg            float64     `json:"mass_kg"`
	BodyWeightN       float64     `json:"body_weight_n"`
	RateHz            float64     `json:"rate_hz"`
	OnsetS            *float64    `json:"onset_s"`
	MinForceS         *float64    `json:"min_force_s"`
	PeakDownVelocityS *float64    `json:"peak_down_velocity_s"`
	LowPointS         *float64    `json:"bottom_s"`
	TakeoffS          *float64    `json:"takeoff_s"`
	LandingS          *float64    `json:"landing_s"`
	TakeoffVelocityMS *float64    `json:"takeoff_velocity_ms"`
	JumpHeightM       *float64    `json:"height_impulse_m"`
	FlightHeightM     *float64    `json:"height_flight_m"`
	DepthM            *float64    `json:"depth_m"`
	TimeToTakeoffS    *float64    `json:"time_to_takeoff_s"`
	Humps             *int        `json:"humps"`
	PeakTakeoffForceN *float64    `json:"peak_takeoff_force_n"`
	LeftShare         *float64    `json:"left_share_propulsion"`
	OffsetN           []float64   `json:"offset_n"`
	GapS              *[2]float64 `json:"gap_s"`
}

// Shared returns the path of a file or folder beside the project; the test is skipped where it is absent.
func Shared(t testing.TB, name string) string {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	path := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		t.Skipf("the recordings of %s are not beside the project", name)
	}
	return path
}

// Truths reads a file of truths; the values may be single reps or lists of them.
func Truths(t testing.TB, path string) map[string][]Truth {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(data, &raw); err != nil {
		t.Fatal(err)
	}
	out := map[string][]Truth{}
	for name, value := range raw {
		var many []Truth
		if err := json.Unmarshal(value, &many); err != nil {
			var one Truth
			if err := json.Unmarshal(value, &one); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			many = []Truth{one}
		}
		out[name] = many
	}
	return out
}

// ReadPlain reads a file of time, left and right with one header line. It is the slow, plain twin of the real reader.
func ReadPlain(t testing.TB, path string) *curve.Recording {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")[1:]
	rec := &curve.Recording{Name: filepath.Base(path)}
	var times []float64
	for _, line := range lines {
		cells := strings.Split(strings.TrimSpace(line), ",")
		var v [3]float64
		for i := range v {
			x, err := strconv.ParseFloat(cells[i], 64)
			if err != nil {
				x = math.NaN()
			}
			v[i] = x
		}
		times = append(times, v[0])
		rec.Left, rec.Right, rec.Total = append(rec.Left, v[1]), append(rec.Right, v[2]), append(rec.Total, v[1]+v[2])
	}
	rec.StartS = times[0]
	rec.RateHz = math.Round(float64(len(times)-1)/(times[len(times)-1]-times[0])*1000) / 1000
	return rec
}
