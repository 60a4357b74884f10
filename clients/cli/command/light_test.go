package command_test

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestLight(t *testing.T) {
	s := newShell(t)
	church := s.write("my-church.yaml", s.must("init", "--units", "metric"))
	s.must("plan", church, "--out", s.dir+"/packet")
	id := s.projects()[0][0]
	text := s.must("light", id)
	for _, want := range []string{"zone", "wanted", "from above", "over its whole area", "semi_cylindrical"} {
		if !strings.Contains(text, want) {
			t.Errorf("the answer lacks %q:\n%s", want, text)
		}
	}
	var got struct {
		Results struct {
			Light struct {
				Zones []struct{ Area []struct{ Kind string } }
			}
			Looks []struct {
				Name  string
				Light struct{ Zones []struct{ Name string } }
			}
		}
	}
	if err := json.Unmarshal([]byte(s.must("--json", "light", id)), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Results.Light.Zones) == 0 || len(got.Results.Looks) < 3 {
		t.Fatalf("%+v", got)
	}
	off := s.must("light", id, "--look", "all off")
	if text == off || !strings.Contains(off, "0 lx") {
		t.Errorf("all off gives\n%s", off)
	}
	if r := s.run("light", id, "--look", "disco"); r.status != badFile || !strings.Contains(r.err, "All off") {
		t.Errorf("exit status %d, %q", r.status, r.err)
	}
}
