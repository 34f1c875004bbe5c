package api_test

import (
	"fmt"
	"net/http/httptest"
	"testing"

	"evenfall/server/api"
)

// BenchmarkGetPlot is one record through all of the API, without the network.
func BenchmarkGetPlot(b *testing.B) {
	s := open(b)
	benchmarkGet(b, s, "/api/v1/plots/"+s.fill().plot)
}

// BenchmarkListPlots is a page of a hundred plots.
func BenchmarkListPlots(b *testing.B) {
	s := open(b)
	k := s.fill()
	for i := range 100 {
		s.send("POST", "/api/v1/plots", object{"property_id": k.property, "name": fmt.Sprint("Plot ", i), "outline": polygon()}).want(201)
	}
	benchmarkGet(b, s, "/api/v1/plots")
}

func benchmarkGet(b *testing.B, s site, path string) {
	handler := api.Handler(s.services)
	b.ReportAllocs()
	for b.Loop() {
		request := httptest.NewRequest("GET", "http://localhost"+path, nil)
		got := httptest.NewRecorder()
		if handler.ServeHTTP(got, request); got.Code != 200 {
			b.Fatal(got.Body)
		}
	}
}
