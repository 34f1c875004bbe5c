// Package units holds the typed quantities of the job. Every quantity is an SI
// number inside; the names of the trade's units are constructors (as factors)
// and methods, so that a pound can never be added to an acre by accident.
package units

// Quantities, each with its SI unit.
type (
	Length        float64 // metres
	Area          float64 // square metres
	Volume        float64 // cubic metres
	Mass          float64 // kilograms
	Duration      float64 // seconds
	Speed         float64 // metres per second
	Temperature   float64 // degrees Celsius
	MassPerArea   float64 // kilograms per square metre
	VolumePerArea float64 // cubic metres per square metre
	CountPerArea  float64 // pieces per square metre
	CountPerMass  float64 // pieces per kilogram
	Density       float64 // kilograms per cubic metre
	Flow          float64 // kilograms per second
)

// Exact by definition: the international foot and pound (85 FR 62698 retired
// the survey foot), the US dry bushel and gallon (NIST Handbook 44, App. C).
const (
	Inch       Length   = 0.0254
	Foot       Length   = 0.3048
	Yard       Length   = 0.9144
	Mile       Length   = 1609.344
	SquareFoot Area     = 0.09290304
	Acre       Area     = 4046.8564224
	Hectare    Area     = 10000
	Ounce      Mass     = 0.028349523125
	Pound      Mass     = 0.45359237
	ShortTon   Mass     = 907.18474
	Tonne      Mass     = 1000
	CubicInch  Volume   = 0.000016387064
	Litre      Volume   = 0.001
	Bushel     Volume   = 2150.42 * CubicInch
	DryQuart   Volume   = Bushel / 32
	DryPint    Volume   = Bushel / 64
	DryCup     Volume   = Bushel / 128
	Minute     Duration = 60
	Hour       Duration = 3600
	MPH        Speed    = 0.44704
	KPH        Speed    = Speed(1.0 / 3.6)
)

// Compound rates of the trade, each from the exact figures above.
const (
	PoundPerAcre    = MassPerArea(Pound) / MassPerArea(Acre)
	KilogramPerHa   = MassPerArea(1) / MassPerArea(Hectare)
	PerAcre         = CountPerArea(1) / CountPerArea(Acre)
	PerSquareFoot   = CountPerArea(1) / CountPerArea(SquareFoot)
	PerPound        = CountPerMass(1) / CountPerMass(Pound)
	PoundPerBushel  = Density(Pound) / Density(Bushel)
	PoundPerMinute  = Flow(Pound) / Flow(Minute)
	KilogramPerMin  = Flow(1) / Flow(Minute)
	BushelPerAcre   = VolumePerArea(Bushel) / VolumePerArea(Acre)
	DryQuartPerAcre = VolumePerArea(DryQuart) / VolumePerArea(Acre)
)

// Over spreads a mass evenly over an area.
func (m Mass) Over(a Area) MassPerArea { return MassPerArea(float64(m) / float64(a)) }

// Filling is the volume that a mass takes at a density.
func (m Mass) Filling(d Density) Volume { return Volume(float64(m) / float64(d)) }

// On is the mass that a rate puts on an area.
func (r MassPerArea) On(a Area) Mass { return Mass(float64(r) * float64(a)) }

// On is how many pieces a rate puts on an area.
func (r CountPerArea) On(a Area) float64 { return float64(r) * float64(a) }

// Weighing is the mass of a volume at a density.
func (v Volume) Weighing(d Density) Mass { return Mass(float64(v) * float64(d)) }

// Count is how many pieces a mass holds.
func (c CountPerMass) Count(m Mass) float64 { return float64(c) * float64(m) }

// System is the set of units that a person reads.
type System string

// The two systems; US customary is the default of the trade this serves.
const (
	US     System = "us"
	Metric System = "metric"
)
