package record

import "testing"

// Which notes are the sampling rate, and which only look like it.
func TestWrittenRate(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		line string
		want float64
	}{
		{"Sampling rate: 1000 Hz", 1000},
		{"Sampling rate [Hz],1000,,", 1000},
		{"Sample Rate (Hz)\t500", 500},
		{"SampleRate=1200", 1200},
		{"Abtastrate;1,5 kHz", 1500},
		{"Abtastfrequenz: 1.000 Hz", 1000},
		{"Sampling frequency: 1,000 Hz", 1000},
		{"Fréquence d'échantillonnage : 2000", 2000},
		{"Frecuencia de muestreo: 600 Hz", 600},
		{"Rate: 1000", 1000},
		{"# dt = 0.001", 1000},
		{"Sampling interval: 2 ms", 500},
		{"Sample period (s): 0.0005", 2000},
		{"Abtastintervall: 0,001 s", 1000},
		{"Rate of force development: 5000 N/s", 0},
		{"Filter frequency: 50 Hz", 0},
		{"Cutoff frequency (Hz): 50", 0},
		{"Low-pass frequency: 50", 0},
		{"Heart rate: 60", 0},
		{"Samples: 4000", 0},
		{"Sample: 3", 0},
		{"Video frame rate: 240", 0},
		{"Aufnahmezeit: 10 s", 0},
		{"Abtastzeit: 1 ms", 1000},
		{"Acquisition time: 10 s", 0},
		{"Date: 2026-03-01", 0},
		{"Rest interval between sets: 60", 0},
	} {
		got, where := writtenRate(metadataOf([]string{c.line}))
		if got != c.want || (got == 0) != (where == "") {
			t.Errorf("%q: %v from %q, want %v", c.line, got, where, c.want)
		}
	}
}

// The body mass, for forces in body weights.
func TestMass(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]float64{
		"Body mass (kg): 72.5": 72.5, "Gewicht;72,5 kg": 72.5, "Weight: 160 lb": 160 * 0.45359237, "Body weight (N): 784.532": 80,
		"Body weight: 784.532 N": 80, "Mass [kg],72.5": 72.5, "Poids: 72.5": 72.5, "Height (cm): 172": 0, "Mass: 2 kg": 0,
	} {
		got := massOf(metadataOf([]string{line}))
		if diff := got - want; diff > 1e-9 || diff < -1e-9 {
			t.Errorf("%q: %v kg, want %v", line, got, want)
		}
	}
}
