package settings

import (
	"errors"
	"strings"
	"testing"

	"plateside/quality"
)

// FuzzSettings: whatever a file says, it is refused with words or leaves settings that can be measured by. Never a panic,
// never a limit out of its range.
func FuzzSettings(f *testing.F) {
	for _, seed := range []string{
		"", "[method]\ngravity = 9.81\nlatitude = 52.1\naltitude = 80\nonset = \"5sd-30ms\"\n",
		"[limits]\nsway_redo = 1.5\n[cues]\nstance-sway = \"x\"\n", "[review]\nadvance = \"next\"\nbell = true\n",
		"[count]\nwanted = 3\nattempts = 5\nrest_s = 30\nspread_pct = 8\nroster = [\"a\"]\n",
		"[names]\npattern = \"(\"\n[[reader]]\nx = 1\n[[reader]]\ny = [1, {z = 2}]\n", "[method]\n\"\" = 1\n",
		"method = { still_band = 99 }\n", "[limits]\nsway_redo = nan\nsway_look = inf\n", "\ufeff[method]\r\n", "[method]\nonset.x = 1\n",
		"[athletes]\n\"a.b\" = \"\"\n", "a = 1\n# gravity\n",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s := Default()
		if err := s.apply("/x/week3/"+FileName, []byte(text)); err != nil {
			var k keyError
			if err.Error() == "" || (errors.As(err, &k) && len(k.keys) == 0) {
				t.Errorf("refused without words: %q", err)
			}
			return
		}
		if err := s.Method.Check(); err != nil {
			t.Errorf("taken: %v", err)
		}
		if err := s.sane(); err != nil {
			t.Errorf("taken: %v", err)
		}
		for _, r := range s.Limits.Rows() {
			if !(r.Value >= r.Least && r.Value <= r.Most) {
				t.Errorf("%s is %g", r.Key, r.Value)
			}
		}
		for check := range s.Cues {
			if _, ok := quality.CheckNamed(check); !ok {
				t.Errorf("a cue for %q was taken", check)
			}
		}
		for key, where := range s.SetIn {
			if where != "week3/"+FileName || strings.TrimSpace(key) == "" {
				t.Errorf("%q was set in %q", key, where)
			}
		}
	})
}
