package settings_test

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"plateside/curve"
	"plateside/quality/settings"
)

// folder makes a folder with a settings file of that text in it; no file for an empty text.
func folder(t *testing.T, name, text string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), name)
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if text != "" {
		if err := os.WriteFile(filepath.Join(dir, settings.FileName), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func load(t *testing.T, configText, folderText string) settings.Settings {
	t.Helper()
	s, err := settings.Load(folder(t, "config", configText), folder(t, "week3", folderText))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestNothingSet(t *testing.T) {
	for what, dirs := range map[string][2]string{
		"no folders": {"", ""}, "folders that are not there": {"/nonexistent/a", "/nonexistent/b"}, "folders without files": {t.TempDir(), t.TempDir()},
	} {
		s, err := settings.Load(dirs[0], dirs[1])
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if s.Method != curve.DefaultMethod() || len(s.Files) != 0 || len(s.SetIn) != 0 {
			t.Errorf("%s: %+v", what, s)
		}
		for _, r := range s.Limits.Rows() {
			if r.SetIn != "" {
				t.Errorf("%s: %s was set in %s", what, r.Key, r.SetIn)
			}
		}
	}
}

// The folder's file lies on top of the user's own, key by key; what neither sets keeps its default.
func TestPrecedence(t *testing.T) {
	s := load(t, `
[method]
gravity = 9.81
still_band = 2
onset = "5sd"
[limits]
sway_redo = 2.0
sway_look = 1.5
[cues]
stance-sway = "Freeze."
early-load = "No swing."
[athletes]
A1 = "Ada"
B2 = "Ben"
[review]
advance = "next"
axis = "body-weights"
[count]
wanted = 2
roster = ["Ada", "Ben"]
`, `
[method]
gravity = 9.8125
weighing = "stance"
[limits]
sway_redo = 1.5
zero_look = 8
[cues]
stance-sway = "Still."
[athletes]
B2 = "Bea"
[review]
advance = "off"
[count]
attempts = 4
`)
	m := s.Method
	if m.GravityMS2 != 9.8125 || m.StillBandPct != 2 || m.Onset != "5sd" || m.Weighing != "stance" || m.FlightFloorN != curve.DefaultMethod().FlightFloorN {
		t.Errorf("method %+v", m)
	}
	for key, want := range map[string]string{"gravity": "week3/plateside.toml", "weighing": "week3/plateside.toml", "still_band": "config/plateside.toml", "onset": "config/plateside.toml", "flight_floor": ""} {
		if s.SetIn[key] != want {
			t.Errorf("%s was set in %q, want %q", key, s.SetIn[key], want)
		}
	}
	for _, r := range s.Limits.Rows() {
		want := map[string]struct {
			value float64
			in    string
		}{"sway_redo": {1.5, "week3/plateside.toml"}, "sway_look": {1.5, "config/plateside.toml"}, "zero_look": {8, "week3/plateside.toml"}}[r.Key]
		if r.SetIn != want.in || (want.in != "" && r.Value != want.value) {
			t.Errorf("%s is %g, set in %q", r.Key, r.Value, r.SetIn)
		}
	}
	if s.Cues["stance-sway"] != "Still." || s.Cues["early-load"] != "No swing." || s.Athletes["A1"] != "Ada" || s.Athletes["B2"] != "Bea" {
		t.Errorf("cues %v, athletes %v", s.Cues, s.Athletes)
	}
	if s.Review.Advance != "off" || s.Review.Axis != "body-weights" {
		t.Errorf("review %+v", s.Review)
	}
	if s.Count.Wanted != 2 || s.Count.Attempts != 4 || s.Count.RestS != 30 || len(s.Count.Roster) != 2 {
		t.Errorf("count %+v", s.Count)
	}
	if len(s.Files) != 2 || !strings.HasSuffix(s.Files[0], "config/plateside.toml") || !strings.HasSuffix(s.Files[1], "week3/plateside.toml") {
		t.Errorf("files %v", s.Files)
	}
}

// Every number of the method and every limit can be set by its key, at both ends of its range and not beyond.
func TestEveryKeyAndItsRange(t *testing.T) {
	try := func(table, key string, v float64, ok bool) {
		t.Helper()
		text := "[" + table + "]\n" + key + " = " + formatted(v) + "\n"
		_, err := settings.Load("", folder(t, "week3", text))
		if (err == nil) != ok {
			t.Errorf("%q: %v", text, err)
		}
		if err != nil && (!strings.Contains(err.Error(), "line 2: "+key+" = ") || !strings.Contains(err.Error(), "outside")) {
			t.Errorf("%q: the error does not show the line: %v", text, err)
		}
	}
	m := curve.DefaultMethod()
	for _, p := range m.Parameters() {
		try("method", p.Key, p.Least, true)
		try("method", p.Key, p.Most, true)
		try("method", p.Key, p.Least-0.001, false)
		try("method", p.Key, p.Most+0.001, false)
		try("method", p.Key, math.NaN(), false)
	}
	for _, r := range settings.Default().Limits.Rows() {
		try("limits", r.Key, r.Least, true)
		try("limits", r.Key, r.Most, true)
		try("limits", r.Key, r.Least-0.001, false)
		try("limits", r.Key, math.Inf(1), false)
		try("limits", r.Key, math.NaN(), false)
	}
}

// formatted writes a number as settings files do.
func formatted(v float64) string {
	switch {
	case math.IsNaN(v):
		return "nan"
	case math.IsInf(v, 1):
		return "inf"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func TestOnsetNames(t *testing.T) {
	for _, r := range curve.OnsetRules() {
		if s := load(t, "", "[method]\nonset = \""+r.Name+"\"\n"); s.Method.Onset != r.Name || s.SetIn["onset"] == "" {
			t.Errorf("onset %q became %q", r.Name, s.Method.Onset)
		}
	}
}

// Gravity by place: WGS84 at 45 degrees is 9.8061978 m/s2 and 9.803112 a thousand metres up, at the equator 9.7803253
// (the values printed for the formula), south like north.
func TestGravityByPlace(t *testing.T) {
	for text, want := range map[string]float64{
		"latitude = 45": 9.8061978, "latitude = 45.0\naltitude = 1000": 9.803112, "altitude = 1000\nlatitude = 45": 9.803112,
		"latitude = -45": 9.8061978, "latitude = 0": 9.7803253, "latitude = 90": 9.8321849, "gravity = 9.81": 9.81,
	} {
		s := load(t, "[method]\ngravity = 9.7\n", "[method]\n"+text+"\n")
		if math.Abs(s.Method.GravityMS2-want) > 1e-6 { // the digits printed
			t.Errorf("%q gives %.7f, want %.7f", text, s.Method.GravityMS2, want)
		}
		if s.SetIn["gravity"] != "week3/plateside.toml" {
			t.Errorf("%q: set in %q", text, s.SetIn["gravity"])
		}
	}
	// A value beats a place in the same file; a place beats a value of the file below.
	if s := load(t, "", "[method]\nlatitude = 45\ngravity = 9.81\n"); s.Method.GravityMS2 != 9.81 {
		t.Errorf("gravity %g beside a latitude", s.Method.GravityMS2)
	}
}

// TestErrors: what is wrong, and the line on which it stands.
func TestErrors(t *testing.T) {
	for text, words := range map[string][]string{
		"[method]\ngravityy = 9.81\n":                           {"gravityy", "not a value of the method", "line 2: gravityy = 9.81"},
		"[metod]\nx = 1\n":                                      {"not known", "1| [metod]"},
		"[review]\n\nadvanse = \"next\"\n":                      {"not known", "3| advanse"},
		"[limits]\nsway_redoo = 1\n":                            {"no limit is called sway_redoo", "line 2: sway_redoo = 1"},
		"[limits]\nsway_redo = \"much\"\n":                      {"sway_redo is not a number", "line 2"},
		"[limits]\nsway_redo = true\n":                          {"sway_redo is not a number", "line 2"},
		"[method]\nstill_band = \"2\"\n":                        {"still_band", "right kind", "line 2"},
		"[method]\nonset = 5\n":                                 {"onset", "right kind", "line 2"},
		"[method]\nonset = \"6sd\"\n":                           {"6sd", "is none of 5sd-traced", "10n", "line 2"},
		"[method]\nweighing = \"guess\"\n":                      {"guess", "stance-and-closure", "line 2"},
		"[method]\nlatitude = \"52\"\n":                         {"latitude is not a number of degrees", "line 2"},
		"[method]\nlatitude = 91\n":                             {"latitude", "-90 to 90", "line 2"},
		"[method]\nlatitude = nan\n":                            {"latitude", "line 2"},
		"[method]\nlatitude = 52\naltitude = \"x\"\n":           {"altitude", "line 3"},
		"[method]\naltitude = 500\n":                            {"altitude needs a latitude", "line 2"},
		"# gravity here\n[method]\ngravity = 1\n":               {"gravity is 1 m/s2, outside 9.7 to 9.9", "line 3: gravity = 1"},
		"[method]\nflight_floor = 10\n\"still_band\" = 99\n":    {"still_band is 99", "line 3"},
		"method.still_band = 99\n":                              {"still_band is 99", "line 1"},
		"method = { flight_floor = 10, still_band = 99 }\n":     {"still_band is 99", "line 1"},
		"[cues]\nstance-wobble = \"x\"\n":                       {"stance-wobble is not the name of a check", "line 2"},
		"[cues]\nstance-sway = 1\n":                             {"cannot be read", "2| stance-sway"},
		"[review]\nadvance = \"soon\"\n":                        {"undecided, next, off", "line 2"},
		"[review]\naxis = \"pounds\"\n":                         {"newtons, body-weights", "line 2"},
		"[review]\nbell = 1\n":                                  {"cannot be read", "2| bell = 1"},
		"[count]\nwanted = 0\n":                                 {"wanted is 0", "line 2"},
		"[count]\n\nattempts = 2\n":                             {"attempts 2", "line 3: attempts = 2"},
		"[count]\nattempts = 21\n":                              {"20", "line 2"},
		"[count]\nwanted = 2.5\n":                               {"cannot be read", "2| wanted"},
		"[count]\nrest_s = -1\n":                                {"rest_s", "line 2"},
		"[count]\nspread_pct = nan\n":                           {"spread_pct", "line 2"},
		"[count]\nspread_pct = 0\n":                             {"spread_pct", "line 2"},
		"[method\ngravity = 9.81\n":                             {"cannot be read", "1| [method"},
		"[method]\ngravity = 9.81\ngravity = 9.82\n":            {"gravity"},
		"[method]\n\"\" = 1\n":                                  {"not a value of the method"},
		"\xff\xfe[\x00m\x00":                                    {"settings"},
		"[limits]\r\nsway_look = 1\r\nsway_redo = \"much\"\r\n": {"line 3: sway_redo = \"much\""},
	} {
		dir := folder(t, "week3", text)
		_, err := settings.Load("", dir)
		if err == nil {
			t.Errorf("%q was taken", text)
			continue
		}
		for _, w := range append(words, filepath.Join(dir, settings.FileName)) {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%q: the error does not say %q: %v", text, w, err)
			}
		}
		if strings.ContainsRune(err.Error(), '\r') {
			t.Errorf("%q: the error carries a carriage return", text)
		}
	}
}

// A wrong file of the user's own is named, not that of the folder.
func TestErrorNamesTheFile(t *testing.T) {
	config := folder(t, "config", "[limits]\nfoo = 1\n")
	_, err := settings.Load(config, folder(t, "week3", "[limits]\nsway_redo = 2\n"))
	if err == nil || !strings.Contains(err.Error(), config) {
		t.Errorf("error %v", err)
	}
}

// A byte order mark and carriage returns, as some editors write them, are no error.
func TestEditorsHabits(t *testing.T) {
	if s := load(t, "", "\ufeff[method]\r\ngravity = 9.81\r\n"); s.Method.GravityMS2 != 9.81 {
		t.Errorf("gravity %g", s.Method.GravityMS2)
	}
}

func TestSizeBound(t *testing.T) {
	const most = 1 << 20
	fits := "[limits]\nsway_redo = 2\n#" + strings.Repeat("x", most)
	if s := load(t, "", fits[:most]); s.Limits.Get("sway_redo") != 2 {
		t.Error("a file of 1 MB was not read")
	}
	_, err := settings.Load("", folder(t, "week3", fits[:most+1]))
	if err == nil || !strings.Contains(err.Error(), "1 MB") {
		t.Errorf("a file beyond 1 MB: %v", err)
	}
}

func TestDirectoryInPlaceOfTheFile(t *testing.T) {
	dir := folder(t, "week3", "")
	if err := os.Mkdir(filepath.Join(dir, settings.FileName), 0o755); err != nil {
		t.Fatal(err)
	}
	_, err := settings.Load("", dir)
	if err == nil || !strings.Contains(err.Error(), "ordinary file") {
		t.Errorf("error %v", err)
	}
}

// A link to a file is followed; a link to a folder is none; a link to nothing is no file.
func TestSymlinks(t *testing.T) {
	home := folder(t, "home", "[limits]\nsway_redo = 2\n")
	for target, want := range map[string]string{filepath.Join(home, settings.FileName): "", home: "ordinary file", filepath.Join(home, "gone"): ""} {
		dir := folder(t, "week3", "")
		if err := os.Symlink(target, filepath.Join(dir, settings.FileName)); err != nil {
			t.Skip("no symbolic links here")
		}
		s, err := settings.Load("", dir)
		switch {
		case want != "":
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("a link to a folder: %v", err)
			}
		case err != nil:
			t.Errorf("%s: %v", target, err)
		case strings.HasSuffix(target, settings.FileName) && s.Limits.Get("sway_redo") != 2:
			t.Errorf("a link to a file was not followed")
		}
	}
}

// Loading one folder must leave nothing behind for the next.
func TestSettingsDoNotLeak(t *testing.T) {
	first := load(t, "", "[cues]\nstance-sway = \"x\"\n[athletes]\na = \"A\"\n[limits]\nsway_redo = 2\n[method]\ngravity = 9.81\n")
	second := load(t, "", "")
	if len(second.Cues) != 0 || len(second.Athletes) != 0 || len(second.SetIn) != 0 || second.Limits.Get("sway_redo") == 2 || second.Method == first.Method {
		t.Errorf("%+v", second)
	}
}
