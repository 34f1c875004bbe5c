package units

// Further exact units, beside those of quantity.go. The liquid gallon rates
// hoppers on their labels: 231 cubic inches (NIST Handbook 44, App. C).
const (
	CubicFoot     Volume        = 1728 * CubicInch
	Gallon        Volume        = 231 * CubicInch
	Gram          Mass          = 0.001
	Course88      Length        = 88 * Foot // a mile an hour is 88 feet a minute
	PoundPer1000  MassPerArea   = MassPerArea(Pound) / (1000 * MassPerArea(SquareFoot))
	LitrePerHa    VolumePerArea = VolumePerArea(Litre) / VolumePerArea(Hectare)
	PerHectare    CountPerArea  = 1 / CountPerArea(Hectare)
	KilogramPerL  Density       = 1 / Density(Litre)
	freezingF                   = 32.0
	fahrenheitPer               = 1.8
)

// Metres is the length in metres.
func (l Length) Metres() float64 { return float64(l) }

// Feet is the length in international feet.
func (l Length) Feet() float64 { return float64(l / Foot) }

// Inches is the length in inches.
func (l Length) Inches() float64 { return float64(l / Inch) }

// Yards is the length in yards.
func (l Length) Yards() float64 { return float64(l / Yard) }

// Miles is the length in statute miles.
func (l Length) Miles() float64 { return float64(l / Mile) }

// SquareMetres is the area in square metres.
func (a Area) SquareMetres() float64 { return float64(a) }

// Acres is the area in acres of the international foot.
func (a Area) Acres() float64 { return float64(a / Acre) }

// Hectares is the area in hectares.
func (a Area) Hectares() float64 { return float64(a / Hectare) }

// SquareFeet is the area in square feet.
func (a Area) SquareFeet() float64 { return float64(a / SquareFoot) }

// CubicMetres is the volume in cubic metres.
func (v Volume) CubicMetres() float64 { return float64(v) }

// Litres is the volume in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

// Bushels is the volume in US dry bushels.
func (v Volume) Bushels() float64 { return float64(v / Bushel) }

// DryQuarts is the volume in US dry quarts.
func (v Volume) DryQuarts() float64 { return float64(v / DryQuart) }

// DryPints is the volume in US dry pints.
func (v Volume) DryPints() float64 { return float64(v / DryPint) }

// DryCups is the volume in quarters of a dry quart.
func (v Volume) DryCups() float64 { return float64(v / DryCup) }

// Gallons is the volume in US liquid gallons.
func (v Volume) Gallons() float64 { return float64(v / Gallon) }

// CubicFeet is the volume in cubic feet.
func (v Volume) CubicFeet() float64 { return float64(v / CubicFoot) }

// Kilograms is the mass in kilograms.
func (m Mass) Kilograms() float64 { return float64(m) }

// Grams is the mass in grams.
func (m Mass) Grams() float64 { return float64(m / Gram) }

// Pounds is the mass in avoirdupois pounds.
func (m Mass) Pounds() float64 { return float64(m / Pound) }

// Ounces is the mass in avoirdupois ounces.
func (m Mass) Ounces() float64 { return float64(m / Ounce) }

// ShortTons is the mass in tons of 2,000 pounds.
func (m Mass) ShortTons() float64 { return float64(m / ShortTon) }

// Seconds is the duration in seconds.
func (d Duration) Seconds() float64 { return float64(d) }

// Minutes is the duration in minutes.
func (d Duration) Minutes() float64 { return float64(d / Minute) }

// Hours is the duration in hours.
func (d Duration) Hours() float64 { return float64(d / Hour) }

// MetresPerSecond is the speed in metres per second.
func (s Speed) MetresPerSecond() float64 { return float64(s) }

// MPH is the speed in miles per hour.
func (s Speed) MPH() float64 { return float64(s / MPH) }

// KPH is the speed in kilometres per hour.
func (s Speed) KPH() float64 { return float64(s / KPH) }

// Over is the time that a length takes at the speed; infinite at a standstill.
func (s Speed) Over(l Length) Duration { return Duration(float64(l) / float64(s)) }

// Per88Feet is the time over the trade's test course of 88 feet.
func (s Speed) Per88Feet() Duration { return s.Over(Course88) }

// In is the speed that covers a length in a time.
func (l Length) In(d Duration) Speed { return Speed(float64(l) / float64(d)) }

// By is the area of a strip of two lengths.
func (l Length) By(width Length) Area { return Area(float64(l) * float64(width)) }

// Celsius is the temperature in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) }

// Fahrenheit is the temperature in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64(t)*fahrenheitPer + freezingF }

// FromFahrenheit is a temperature given in degrees Fahrenheit.
func FromFahrenheit(f float64) Temperature { return Temperature((f - freezingF) / fahrenheitPer) }

// PoundsPerAcre is the rate in pounds per acre.
func (r MassPerArea) PoundsPerAcre() float64 { return float64(r / PoundPerAcre) }

// PoundsPer1000SquareFeet is the rate in pounds per thousand square feet.
func (r MassPerArea) PoundsPer1000SquareFeet() float64 { return float64(r / PoundPer1000) }

// KilogramsPerHectare is the rate in kilograms per hectare.
func (r MassPerArea) KilogramsPerHectare() float64 { return float64(r / KilogramPerHa) }

// BushelsPerAcre is the rate in bushels per acre.
func (r VolumePerArea) BushelsPerAcre() float64 { return float64(r / BushelPerAcre) }

// DryQuartsPerAcre is the rate in dry quarts per acre.
func (r VolumePerArea) DryQuartsPerAcre() float64 { return float64(r / DryQuartPerAcre) }

// LitresPerHectare is the rate in litres per hectare.
func (r VolumePerArea) LitresPerHectare() float64 { return float64(r / LitrePerHa) }

// On is the volume that a rate puts on an area.
func (r VolumePerArea) On(a Area) Volume { return Volume(float64(r) * float64(a)) }

// PerAcre is the count on an acre.
func (r CountPerArea) PerAcre() float64 { return float64(r / PerAcre) }

// PerSquareFoot is the count on a square foot.
func (r CountPerArea) PerSquareFoot() float64 { return float64(r / PerSquareFoot) }

// PerSquareMetre is the count on a square metre.
func (r CountPerArea) PerSquareMetre() float64 { return float64(r) }

// PerHectare is the count on a hectare.
func (r CountPerArea) PerHectare() float64 { return float64(r / PerHectare) }

// PerPound is the count in a pound.
func (c CountPerMass) PerPound() float64 { return float64(c / PerPound) }

// PerKilogram is the count in a kilogram.
func (c CountPerMass) PerKilogram() float64 { return float64(c) }

// PoundsPerBushel is the density as the trade's bushel weight.
func (d Density) PoundsPerBushel() float64 { return float64(d / PoundPerBushel) }

// KilogramsPerLitre is the density in kilograms per litre.
func (d Density) KilogramsPerLitre() float64 { return float64(d / KilogramPerL) }

// PoundsPerMinute is the flow in pounds per minute.
func (f Flow) PoundsPerMinute() float64 { return float64(f / PoundPerMinute) }

// KilogramsPerMinute is the flow in kilograms per minute.
func (f Flow) KilogramsPerMinute() float64 { return float64(f / KilogramPerMin) }

// For is the mass that a flow gives in a time.
func (f Flow) For(d Duration) Mass { return Mass(float64(f) * float64(d)) }

// Within is the flow that gives a mass in a time.
func (m Mass) Within(d Duration) Flow { return Flow(float64(m) / float64(d)) }

// FlowFor is the flow that puts a rate down at a spacing and a speed; in the
// trade's units, pounds an acre times miles an hour times feet over 495.
func FlowFor(r MassPerArea, spacing Length, v Speed) Flow {
	return Flow(float64(r) * float64(spacing) * float64(v))
}
