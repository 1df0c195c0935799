package dose

// Caution is one thing a person should know before using bright light.
type Caution struct {
	Key       string
	Topic     string
	Text      string
	Source    string
	Confirmed bool // the source was read; else it is repeated from memory and says so
}

const memory = "from memory, not confirmed"

// Cautions lists what to show on first use and on every printed plan, in
// printing order.
func Cautions() []Caution {
	return []Caution{
		{"general", "Not medical advice", "This program measures, designs and keeps count. It promises no effect on health. With any illness, or any medicine taken daily, ask a clinician before using bright light.", "own rule", true},
		{"homemade", "Home-made lamps", "A published guideline tells patients to use tested units, because a home-made lamp may be too weak or let ultraviolet through. Measure both before you trust yours.", "Levitan 2005, J. Psychiatry Neurosci. 30 (PMC543845)", true},
		{"stop", "When to stop", "Stop and ask for help if your eyes hurt, your sight changes, your mood races or you cannot sleep.", "own rule", true},
		{"retina", "Eye disease", "Macular degeneration, retinitis pigmentosa or any other disease of the retina, a recent eye operation, or an eye without its lens: see an eye doctor before starting and while using it.", "Gallin et al. 1995, Am. J. Ophthalmol. 119; ICNIRP 2013, Health Phys. 105:74 (separate limit for eyes without a lens)", true},
		{"glaucoma", "Glaucoma, cataract", "Ask an eye doctor first.", memory, false},
		{"diabetes", "Diabetes", "Often listed as a reason not to, or only with an eye check, above all when the retina is affected.", "patient guidance of a light-therapy clinic", true},
		{"medicines", "Medicines that raise light sensitivity", "Lithium, phenothiazines, tricyclic and other antidepressants, tetracyclines, quinolones, sulfonamides, chloroquine and related drugs, psoralens, amiodarone, methotrexate, thiazides, retinoids and St John's wort, among others: ask a doctor or pharmacist. A filter for ultraviolet does not settle this, as some react to visible light.", "Harth & Rapoport 1996, Drug Safety 14:252 (antidepressants); hospital guidance 2013; retinoids from memory", true},
		{"bipolar", "Bipolar disorder, past mania", "Bright light can tip into hypomania or mania. Only together with a psychiatrist.", "Maruani & Geoffroy 2019 (PMC6405415)", true},
		{"mood", "Depression, thoughts of suicide", "Light is no remedy to rely on alone. Get help now from a doctor or a crisis line.", "family-practice notes (severe suicidality excluded from light therapy)", true},
		{"epilepsy", "Epilepsy", "With photosensitive epilepsy a flickering lamp can cause a seizure. Take medical advice first and use a lamp without flicker.", memory, false},
		{"migraine", "Migraine", "Bright light is a common trigger. Stop if headaches come.", memory, false},
		{"skin", "Lupus, porphyria, light-sensitive skin", "Talk to the doctor who treats it. Ultraviolet must be filtered out.", "lupus patient organisation; porphyria from memory", true},
		{"young", "Children, pregnancy", "Only with a clinician.", memory, false},
		{"uv", "Ultraviolet", "None is needed. A lamp must let none through.", "clinical practice guidance for light therapy", true},
		{"stare", "Do not stare", "Keep the lamp in view, slightly above, and look at your work, not into the lamp.", "Levitan 2005 (PMC543845)", true},
		{"evening", "Time of day", "Late sessions can put off sleep; very early ones can wake you too soon. From three hours before bed keep light low.", brown, true},
		{"effects", "Side effects seen in trials", "Of 83 patients at 10 000 lx for 30 minutes over two weeks, 15.9 % reported nausea, 8.8 % jitteriness and 8.4 % headache, mostly mild.", "Terman & Terman 1999, J. Clin. Psychiatry (PMID 10584776)", true},
		{"eyes_review", "What is known of eyes", "A review of 43 papers found no eye damage in healthy people without medicines; one case of maculopathy in a person taking clomipramine.", "Brouwer et al. 2017, Acta Psychiatr. Scand., doi 10.1111/acps.12785", true},
		{"individual", "People differ", "Sensitivity to light differs up to sixtyfold between people. No number here is a prediction for you.", "Clocks & Sleep 2024, 6(1):9", true},
	}
}
