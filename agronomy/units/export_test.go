package units

// EveryUnit is every unit that the parser knows, in SI, by its name.
func EveryUnit() map[string]float64 {
	every := map[string]float64{}
	add(every, lengths)
	add(every, areas)
	add(every, volumes)
	add(every, masses)
	add(every, durations)
	add(every, speeds)
	return every
}

func add[Q ~float64](every map[string]float64, s scale[Q]) {
	for name, unit := range s.units {
		every[s.what+" in "+name] = float64(unit)
	}
}
