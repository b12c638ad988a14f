// Package settings reads plateside.toml: the user's own file first, then the one beside the recordings on top of it. A
// key that is not known, a value of the wrong kind or out of range is an error that shows the line.
package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"plateside/curve"
	"plateside/quality"
)

// FileName is the name of a settings file.
const FileName = "plateside.toml"

// maxBytes bounds a settings file.
const maxBytes = 1 << 20

// Settings are everything that a user can set, with where it was set.
type Settings struct {
	Method   curve.Method
	Limits   quality.Limits
	Cues     map[string]string
	Athletes map[string]string
	// FileNamePattern is how athlete and rep are read from a file's name; empty for not at all.
	FileNamePattern string
	Review          Review
	Count           Count
	// Readers are the raw [[reader]] blocks, for the reader to understand.
	Readers []map[string]any
	// SetIn tells for a key of the method where it was set.
	SetIn map[string]string
	// Files are the files that were read.
	Files []string
}

// Review are the reviewer's habits.
type Review struct {
	// Advance is where a decision moves on to: "undecided", "next" or "off".
	Advance string `toml:"advance"`
	// Axis is the unit of the force axis: "newtons" or "body-weights".
	Axis string `toml:"axis"`
	// Bell rings when a recording arrives.
	Bell bool `toml:"bell"`
	// Mouse is "on" or "off".
	Mouse string `toml:"mouse"`
}

// Count is how many reps are wanted of an athlete.
type Count struct {
	Wanted    int      `toml:"wanted"`
	Attempts  int      `toml:"attempts"`
	RestS     float64  `toml:"rest_s"`
	SpreadPct float64  `toml:"spread_pct"`
	Roster    []string `toml:"roster"`
}

// Default returns the settings in force when nothing is set.
func Default() Settings {
	return Settings{
		Method: curve.DefaultMethod(), Limits: quality.DefaultLimits(), SetIn: map[string]string{},
		Cues: map[string]string{}, Athletes: map[string]string{},
		Review: Review{Advance: "undecided", Axis: "newtons", Mouse: "on"},
		// Three good reps of at most five attempts, 30 s apart: usual practice (rest as in Meylan 2011, the rest from
		// memory); they should agree within twice the published within-session CV of 4 %.
		Count: Count{Wanted: 3, Attempts: 5, RestS: 30, SpreadPct: 8},
	}
}

// file is the shape of plateside.toml.
type file struct {
	Method   map[string]any    `toml:"method"`
	Limits   map[string]any    `toml:"limits"`
	Cues     map[string]string `toml:"cues"`
	Athletes map[string]string `toml:"athletes"`
	Names    struct {
		Pattern string `toml:"pattern"`
	} `toml:"names"`
	Review Review           `toml:"review"`
	Count  Count            `toml:"count"`
	Reader []map[string]any `toml:"reader"`
}

// Load reads the settings for recordings in folder dir: configDir's file, then dir's. Files that do not exist are passed
// over; either folder may be empty.
func Load(configDir, dir string) (Settings, error) {
	s := Default()
	for _, d := range []string{configDir, dir} {
		if d == "" {
			continue
		}
		path := filepath.Join(d, FileName)
		data, err := readBounded(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil {
			err = s.apply(path, data)
		}
		if err != nil {
			return s, fmt.Errorf("settings %s: %w", path, err)
		}
		s.Files = append(s.Files, path)
	}
	return s, nil
}

func readBounded(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > maxBytes {
		return nil, errors.New("it is not an ordinary file of at most 1 MB")
	}
	return os.ReadFile(path)
}

// apply lays one file over the settings.
func (s *Settings) apply(path string, data []byte) error {
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors put a byte order mark first
	f := file{Review: s.Review, Count: s.Count}
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		var strict *toml.StrictMissingError
		if errors.As(err, &strict) {
			return fmt.Errorf("a key that is not known:\n%s", strict.String())
		}
		var where *toml.DecodeError
		if errors.As(err, &where) {
			return fmt.Errorf("a line that cannot be read:\n%s", where.String())
		}
		return err
	}
	where := filepath.Base(filepath.Dir(path)) + "/" + FileName
	if err := s.applyMethod(f.Method, where); err != nil {
		return s.show(err, data)
	}
	for _, key := range sortedKeys(f.Limits) {
		v, ok := number(f.Limits[key])
		if !ok {
			return s.show(wrong(key, "%s is not a number", key), data)
		}
		var err error
		if s.Limits, err = s.Limits.Set(key, v, where); err != nil {
			return s.show(keyError{[]string{key}, err}, data)
		}
	}
	for _, check := range sortedKeys(f.Cues) {
		if _, ok := quality.CheckNamed(check); !ok {
			return s.show(wrong(check, "%s is not the name of a check", check), data)
		}
		s.Cues[check] = f.Cues[check]
	}
	for name, athlete := range f.Athletes {
		s.Athletes[name] = athlete
	}
	if f.Names.Pattern != "" {
		s.FileNamePattern = f.Names.Pattern
	}
	s.Review, s.Count = f.Review, f.Count
	s.Readers = append(s.Readers, f.Reader...)
	return s.show(s.sane(), data)
}

// applyMethod lays the [method] table over the method.
func (s *Settings) applyMethod(table map[string]any, where string) error {
	if err := s.applyPlace(table, where); err != nil {
		return err
	}
	for _, key := range sortedKeys(table) {
		value := table[key]
		word, isWord := value.(string)
		v, isNumber := number(value)
		switch {
		case key == "latitude" || key == "altitude":
			continue
		case key == "onset" && isWord:
			s.Method.Onset = word
		case key == "weighing" && isWord:
			s.Method.Weighing = word
		case isNumber && s.setParameter(key, v):
		default:
			return wrong(key, "%s is not a value of the method, or not of the right kind", key)
		}
		s.SetIn[key] = where
	}
	if err := s.Method.Check(); err != nil {
		key, _, _ := strings.Cut(err.Error(), " ") // it names the key first
		return keyError{[]string{key}, err}
	}
	return nil
}

// applyPlace takes gravity from the place of testing: latitude in degrees and, beside it, altitude in metres.
func (s *Settings) applyPlace(table map[string]any, where string) error {
	_, hasLatitude := table["latitude"]
	_, hasAltitude := table["altitude"]
	latitude, ok := number(table["latitude"])
	if hasLatitude && !(ok && math.Abs(latitude) <= 90) {
		return wrong("latitude", "latitude is not a number of degrees from -90 to 90")
	}
	altitude, ok := number(table["altitude"])
	if hasAltitude && !(ok && math.Abs(altitude) <= 9000) {
		return wrong("altitude", "altitude is not a number of metres from -9000 to 9000")
	}
	if hasAltitude && !hasLatitude {
		return wrong("altitude", "altitude needs a latitude beside it")
	}
	if hasLatitude {
		s.Method.GravityMS2 = curve.GravityAt(latitude, altitude)
		s.SetIn["gravity"] = where
	}
	return nil
}

func (s *Settings) setParameter(key string, v float64) bool {
	for _, p := range s.Method.Parameters() {
		if p.Key == key {
			*p.Value = v
			return true
		}
	}
	return false
}

// sane checks what has no table of its own.
func (s *Settings) sane() error {
	r, c := s.Review, s.Count
	switch {
	case r.Advance != "undecided" && r.Advance != "next" && r.Advance != "off":
		return wrong("advance", "advance is none of undecided, next, off")
	case r.Axis != "newtons" && r.Axis != "body-weights":
		return wrong("axis", "axis is none of newtons, body-weights")
	case c.Wanted < 1 || c.Attempts < c.Wanted || c.Attempts > 20:
		return keyError{[]string{"wanted", "attempts"}, fmt.Errorf("wanted is %d and attempts %d: they must be 1 <= wanted <= attempts <= 20", c.Wanted, c.Attempts)}
	case !(c.RestS >= 0 && c.RestS <= 3600):
		return wrong("rest_s", "rest_s is %g s, outside 0 to 3600", c.RestS)
	case !(c.SpreadPct > 0 && c.SpreadPct <= 100):
		return wrong("spread_pct", "spread_pct is %g %%, outside 0 to 100", c.SpreadPct)
	}
	return nil
}

// A keyError is something wrong with the value of one of some keys.
type keyError struct {
	keys []string
	err  error
}

func (e keyError) Error() string { return e.err.Error() }

func wrong(key, format string, args ...any) error {
	return keyError{[]string{key}, fmt.Errorf(format, args...)}
}

// show adds the line on which a key is set to an error about it.
func (s *Settings) show(err error, data []byte) error {
	var k keyError
	if !errors.As(err, &k) {
		return err
	}
	for i, line := range bytes.Split(data, []byte("\n")) {
		for _, key := range k.keys {
			if sets(string(line), key) {
				return fmt.Errorf("%w, in line %d: %s", err, i+1, bytes.TrimSpace(line))
			}
		}
	}
	return err
}

// sets reports whether a line sets a key: the key, perhaps quoted, behind a table's name or in an inline table, stands
// before an equals sign.
func sets(line, key string) bool {
	if strings.HasPrefix(strings.TrimSpace(line), "#") {
		return false
	}
	found, err := regexp.MatchString(`(^|[\s.{,"'])`+regexp.QuoteMeta(key)+`["']?\s*=`, line)
	return err == nil && found
}

func number(v any) (float64, bool) {
	switch n := v.(type) {
	case int64:
		return float64(n), true
	case float64:
		return n, true
	}
	return 0, false
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
