package catalog

import "testing"

func TestDefaultLoads(t *testing.T) {
	c, err := Default()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Product("19-19-19"); err != nil {
		t.Error(err)
	}
	for _, crop := range c.Crops() {
		if len(crop.Figures) == 0 {
			t.Errorf("%s has no figures", crop.ID)
		}
	}
}
