package api

import (
	"bytes"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"
)

// samples is a full request of each tool.
var samples = []struct{ tool, body string }{
	{"pattern", `{"pattern":{"shape":"lopsided","left_reach_m":3,"right_reach_m":4},"spacing_m":2,"way":"back_and_forth"}`},
	{"gate", `{"catch_tests":[{"material":"a","gate":1,"mass_kg":1,"time_s":9},{"material":"a","gate":2,"mass_kg":2,"time_s":9}],"job":{"spacing_m":4,"gate":1.5,"speed_mps":2}}`},
	{"need", `{"report":{"n_kg_per_m2":0.004,"p_kg_per_m2":0.001},"credits":[{"from":"sod","n_kg_per_m2":0.001}],"products":["46-0-0","18-46-0"]}`},
	{"bags", `{"need":{"n_kg_per_m2":0.004},"area_m2":1000,"products":[{"id":"46-0-0","price_per_bag":9,"allow_half":true}],"limits":{"most_bags":9}}`},
	{"lime", `{"product":"x","recommended_kg_per_m2":0.2,"area_m2":900,"own":{"products":[{"id":"x","name":"x","class":"lime","figures":[{"figure":"cce","low":90,"high":90,"unit":"%"}]}]}}`},
	{"seed", `{"crop":"oats","lot":{"tag":{"purity":0.98,"germination":0.85},"emergence":0.8},"rate":{"of":"plants","count_per_m2":200},"area_m2":900,"sample":{"seeds":100,"mass_kg":0.003},"weighed":{"mass_kg":0.4,"volume_m3":0.001}}`},
	{"count", `{"found":[3,0,5],"hoop_m":0.76,"density_per_m2":20,"what":"oats","reseed_by":"2026-05-01"}`},
	{"amounts", `{"mix":{"name":"x","parts_rate_kg_per_m2":0.01,"items":[{"material":"oats","rate":{"parts":2}},{"material":"crimson-clover","rate":{"share_of_full":0.5}}]},"area_m2":900}`},
	{"trip", `{"mix":{"name":"x","items":[{"material":"13-13-13","rate":{"mass_kg_per_m2":0.03}}]},"plots":[{"name":"a","area_m2":900},{"name":"b","area_m2":90}],"limit_kg":50}`},
}

// toolsAlone are the tools without a store.
func toolsAlone() http.Handler {
	services := Services{Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	e := echo.New()
	e.HTTPErrorHandler = services.renderError
	services.tools(e.Group(""))
	return e
}

// useTool sends a request; the answer must be one, or say what is wrong.
func useTool(t *testing.T, tools http.Handler, name, query string, body []byte) {
	t.Helper()
	request := httptest.NewRequest(http.MethodPost, "/tools/"+name, bytes.NewReader(body))
	request.URL.RawQuery = query
	request.Header.Set("Content-Type", "application/json")
	if !bytes.HasPrefix(bytes.TrimSpace(body), []byte("{")) {
		request.Header.Set("Content-Type", "text/csv")
	}
	defer func() {
		if cause := recover(); cause != nil {
			t.Errorf("%s?%s of %s: panic: %v", name, query, body, cause)
		}
	}()
	got := httptest.NewRecorder()
	tools.ServeHTTP(got, request)
	if got.Code >= 500 || got.Code >= 400 && !strings.Contains(got.Body.String(), `"detail":"`) {
		t.Errorf("%s?%s of %s: %d %s", name, query, body, got.Code, got.Body)
	}
}

var figure = regexp.MustCompile(`([:\[,])(-?[0-9.]+)`)

// Every figure of every sample is put to extremes in turn: no answer may hold
// one that JSON cannot carry.
func TestToolsBearExtremeFigures(t *testing.T) {
	tools := toolsAlone()
	for _, sample := range samples {
		body := []byte(sample.body)
		for _, at := range figure.FindAllSubmatchIndex(body, -1) {
			for _, extreme := range []string{"0", "-1", "1", "1e300", "1.7e308", "1e-300", "5e-324", "1000000000"} {
				changed := slices.Concat(body[:at[4]], []byte(extreme), body[at[5]:])
				useTool(t, tools, sample.tool, "", changed)
			}
		}
	}
}

// Whatever a tool is sent, it answers or says what is wrong: never a figure
// that JSON cannot carry, never a fault without a status.
func FuzzTools(f *testing.F) {
	for i, sample := range samples {
		f.Add(uint8(i), "", []byte(sample.body))
	}
	f.Add(uint8(0), "spacing=5+ft&cv_limit=20%25", []byte("position (ft),run 1 (g)\n-4,3\n-2,9\n0,14\n2,8\n4,3\n"))
	f.Add(uint8(1), "spacing=12+ft&rate=90+lb/ac&speed=5+mph&gate=", []byte("material,gate,caught (lb),time (s)\noats,3,4.1,30\noats,4,6.6,30\n"))

	tools := toolsAlone()
	f.Fuzz(func(t *testing.T, tool uint8, query string, body []byte) {
		name := samples[int(tool)%len(samples)].tool
		if name == "trip" && strings.Contains(strings.ToLower(string(body)), "_id") {
			return // kept records need a store
		}
		useTool(t, tools, name, query, body)
	})
}

func FuzzParseShare(f *testing.F) {
	f.Add("15 %")
	f.Add("0.15")
	f.Add("%")
	f.Fuzz(func(t *testing.T, text string) {
		share, err := parseShare(text)
		if err != nil && (share != 0 || problemOf(err).Remedy == "") {
			t.Fatalf("%q gives %v, %v", text, share, err)
		}
	})
}
