package metric

import (
	"encoding/json"
	"testing"
)

func TestBetterAsText(t *testing.T) {
	for _, b := range []Better{Neither, Up, Down} {
		text, err := json.Marshal(Metric{Key: "k", Better: b})
		if err != nil {
			t.Fatal(err)
		}
		var m Metric
		if err := json.Unmarshal(text, &m); err != nil || m.Better != b {
			t.Errorf("%v as %s came back as %v, %v", b, text, m.Better, err)
		}
	}
	var m Metric
	if err := json.Unmarshal([]byte(`{"better":"left"}`), &m); err == nil {
		t.Error("a direction that is none was taken")
	}
}
