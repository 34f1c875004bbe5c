package files_test

import (
	"encoding/json"
	"testing"

	"evenfall/frontend/core/files"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
)

const outline = `{"type":"Polygon","coordinates":[[[-95,44],[-95,44.001],[-95.001,44.001],[-95,44]]]}`

type answered struct {
	OK    []wire.ReadPlot `json:"ok"`
	Fault *struct{ Code, Remedy string }
}

func read(t *testing.T, request string, file []byte) answered {
	t.Helper()
	var a answered
	if err := json.Unmarshal(files.Call("readFile", []byte(request), file).JSON, &a); err != nil {
		t.Fatal(err)
	}
	if (a.OK == nil) == (a.Fault == nil) {
		t.Fatal("neither plots nor a fault")
	}
	return a
}

func TestReadFile(t *testing.T) {
	a := read(t, `{"date":"2026-04-30","units":"us"}`, []byte(outline))
	if a.Fault != nil {
		t.Fatalf("%+v", *a.Fault)
	}
	if len(a.OK) != 1 || a.OK[0].Survey.Method != geo.Uploaded || a.OK[0].Notes == nil || a.OK[0].AreaText == "" {
		t.Errorf("got %+v", a.OK)
	}
}

func TestWrongFilesAreFaults(t *testing.T) {
	for name, file := range map[string]string{"nothing": "", "words": "a field", "cut short": outline[:40]} {
		if a := read(t, `{"units":"us"}`, []byte(file)); a.Fault == nil || a.Fault.Remedy == "" || a.Fault.Code == "internal" {
			t.Errorf("%s: %+v", name, a)
		}
	}
	if a := read(t, `{"date":7}`, []byte(outline)); a.Fault == nil || a.Fault.Code != "json" {
		t.Errorf("a spoilt request: %+v", a)
	}
}
