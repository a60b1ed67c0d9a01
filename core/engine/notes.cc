#include "engine/notes.h"

#include <algorithm>
#include <array>

namespace dwell::engine {
namespace {

constexpr std::array all{
    Note{"access.attempts", "left = allowed − made, for the clinician and in all",
         "attempts made by this clinician and in all, whole numbers",
         "a count below 0; fewer in all than by the clinician",
         "policy place.attempts_per_clinician and place.attempts_in_all"},
    Note{"access.check_limb",
         "a restriction of the same side and limb is a stop (fistula, thrombosis, infection, refusal) or a caution "
         "(the rest); legs and scalp by age band",
         "site: side and region; restrictions: side, limb, reason; age band, when given", "names outside the lists",
         "limb rules (#limb-restrictions)"},
    Note{"access.difficulty", "points = Σ points of the answers; unanswered items give a least and a most",
         "answers by item name; points whole numbers; success a share, only where published",
         "a scale the policy lacks, an item or an answer the scale lacks",
         "the scale's own credit in policy access.difficulty (#difficulty)"},
    Note{"access.restart",
         "same limb: below an earlier failure, or the same place, is a stop after a leak or an inflammation; above it "
         "is a caution; the other limb is free",
         "site and failed sites: side and region", "names outside the lists", "restart (#restart)"},
    Note{"access.vein_saving",
         "filtration below the policy's limit, or known kidney disease: expert first, hand before forearm, the other "
         "arm's cephalic vein spared",
         "filtration in mL/min for 1.73 m² of body surface", "filtration outside 0 to 250 mL/min",
         "limb rules (#limb-restrictions)"},
    Note{"care.due", "due = since + the strictest interval of policy that applies",
         "since: last look that was one, placing, hanging or flush; findings that stand; intervals of policy watch",
         "a state that is no state of a line", "policy watch, each interval with its own source"},
    Note{"care.exposure", "the worst harm class of what ran since the site was last seen sound",
         "harm class, rate in mL/h, time since", "a state that is no state of a line",
         "harm sources of the formulary's entries"},
    Note{"care.time_to_harm",
         "volume = rate × time between two looks; look within the shorter of that time and allowance / rate",
         "rate in mL/h, volumes in mL, times", "a state that is no state of a line",
         "policy watch.site_check and watch.leak_at_most; an allowance is the ward's own and no safe volume"},
    Note{
        "care.ward",
        "lines in order of urgency, then of time; visits join what is due at one bed; a walk goes by lateness, then by "
        "bed; members that an older program did not keep are named as not known",
        "states of lines; now; order; nurse", "a state that is no state of a line", "policy watch and remove"},
    Note{"device.plan",
         "hard limits first; then score = Σ weight × criterion / Σ weight, and the Pareto front; sureness from the "
         "normal posterior of the vein's diameter; a limb to be left alone last; no first choice for what no short "
         "catheter may carry",
         "diameters and depths in mm, flows in mL/h, shares in %, weights of policy choice",
         "what dosing.check_order and infusate.suitability refuse; vein diameter outside 0.3 to 20 mm, depth outside 0 "
         "to 60 mm; no vein, or more than 100",
         "ratio (#vein-ratio), share (#share-in-vein), flow (#flow-model), vein sizes (#vein-size)"},
    Note{"document.handover", "a section a line, most urgent first: the line, beware, running, site, due, changes",
         "states of lines; period: since, now, until", "a period that does not rise, or longer than 7 d each way",
         "common practice, no source"},
    Note{"document.label", "what the dressing must show, from what was charted", "dates as 25 Nov 2026, 24-hour times",
         "a line that is not placed", "common practice, no source"},
    Note{"document.note", "sentences from what was charted; what was not charted reads so",
         "dates as 25 Nov 2026, 24-hour times", "a state that is no state of a line", "common practice, no source"},
    Note{"dosing.check_order",
         "rate / weight, volume beside a day's maintenance, potassium and glucose concentration × rate / weight, "
         "strength, dose and speed of a medicine, drops or pump, allergies, resuscitation, hang time and all of "
         "infusate.suitability: each a look against policy; Σ of what runs beside it by the same looks, and what must "
         "not meet it; the worst is the verdict, and it is no better than not fully checked when a look could not look",
         "rate in mL/h, weight in kg, potassium in mmol/L and mmol/h, glucose in mg/kg/min",
         "what dosing.rate and infusate.mix refuse; weight outside 0.3 to 400 kg; a birth date to come; beside: what "
         "infusate.mix refuses, flow 0 or above 60 L/h, a dose oftener than every 10 min or rarer than every 7 d",
         "policy order, each limit with its own source; maintenance (#maintenance), medicines (#giving-limits)"},
    Note{"dosing.compare_orders",
         "value by value and part by part; units, the order of the parts, which is the base and how a name is written "
         "make no difference; every other difference is named",
         "two orders", "an order that cannot be read", "common practice, no source: independent double check"},
    Note{
        "dosing.dilution",
        "least volume = dose / highest concentration; least time = max(dose / highest rate, shortest time); rate = "
        "volume / time; weight for age, strength, dose, speed, container, diluent and allergies are looked at, by the "
        "limits "
        "of the patient's weight and age",
        "dose in mg, volume in mL, time in min, concentration in mg/mL, rate in mg/min and mL/h",
        "a medicine the formulary lacks; dose 0 or above 100 g; volume outside 1 mL to 5 L; time outside 10 s to 48 h; "
        "weight outside 0.3 to 400 kg; a birth date to come",
        "the entry's own giving limits (#giving-limits)"},
    Note{"dosing.dose_rate",
         "rate = dose × weight / concentration, and back; strength, dose, speed and harm against the entry of the "
         "medicine named, by the limits of the age; allergies",
         "dose in its own unit, weight in kg, concentration = amount / volume, rate in mL/h",
         "both or neither of dose and rate; an amount of another kind than the dose; a missing weight; weight outside "
         "0.3 to 400 kg; amounts 0 or less; a dose that comes to more than 2\u202f000 mL/h",
         "infusion arithmetic (#infusion-arithmetic)"},
    Note{
        "dosing.push",
        "time of step i = total time × volume given by then / volume; least time = dose / highest rate; strength, dose "
        "and speed against the entry of the medicine named; allergies",
        "volume in mL, time in min and s, dose in mg",
        "volume outside 0.1 to 100 mL; time outside 5 s to 1 h; more than 200 steps; rate without dose; weight outside "
        "0.3 to 400 kg",
        "infusion arithmetic (#infusion-arithmetic)"},
    Note{"dosing.rate", "rate = volume / time; drops per minute = rate × drop factor, half up",
         "volume in mL, time in h, rate in mL/h, drop factor in drops/mL",
         "not exactly two of the three, or three that disagree by more than 1 %; volume outside 0.1 mL to 20 L; time "
         "outside 10 s to 14 d; rate outside 0.1 mL/h to 60 L/h; drop factor outside 5 to 100",
         "infusion arithmetic (#infusion-arithmetic), display (#safe-display)"},
    Note{"dosing.secondary",
         "the secondary runs while its bag hangs higher or its pump says; the primary resumes after it",
         "volumes in mL, rates in mL/h", "volumes outside 0.1 mL to 20 L; rates outside 0.1 mL/h to 60 L/h",
         "infusion arithmetic (#infusion-arithmetic)"},
    Note{"dosing.transfusion",
         "first volume = first rate × first period; then (volume − first volume) / (time − first period); the hang "
         "limit counts from leaving storage, and a unit that would pass it is asked about, never run faster",
         "volume in mL, rates in mL/h, times in min",
         "volume outside 10 mL to 1 L; time outside 5 min to 12 h; a first period as long as the whole; drop factor "
         "outside 5 to 100; weight outside 0.3 to 400 kg",
         "policy order.blood_* (#transfusion)"},
    Note{"flow.blood", "log10 μ = 1.138 H + 0.03699 at 37 °C, times water's curve for the temperature",
         "μ viscosity in mPa·s, H haematocrit as a share",
         "haematocrit outside 0 to 80 %; temperature outside 1 to 42 °C",
         "viscosity of blood (#blood-viscosity), of water (#water-viscosity)"},
    Note{"flow.catheters", "flow.open_line, uncounted, for every catheter of the catalogue", "flows in mL/h and mL/min",
         "what flow.solve refuses; a bag too low to run; temperature outside 1 to 42 °C; a fluid without a viscosity",
         "flow model (#flow-model)"},
    Note{"flow.counting_time", "whole drops: T = 1 / (e f); tapped from drop to drop: t = 1.96 √2 s / e",
         "f drop rate, e wanted error, s jitter of a tap in s",
         "rate outside 0.2 to 400 drops/min; error outside 1 to 50 "
         "%; jitter outside 5 ms to 2 s",
         "counting of whole events, computed; drop size (#drop-size)"},
    Note{"flow.drip", "least-squares slope of drop number against time, interval by Student's t, widened by drop size",
         "taps in s, drop factor in drops/mL, rate in mL/h",
         "fewer than 3 or more than 1\u202f000 taps; taps less than 0.01 s or more than 1 h apart; "
         "drop factor outside 5 to 100; an order outside 0.1 mL/h to 60 L/h",
         "drop size (#drop-size)"},
    Note{"flow.emptying", "time = ∫ dV / Q(V), Q the steady flow at head H − c (1 − V / V0)",
         "V volume in mL, H height, c fluid column in m, Q in mL/h",
         "what flow.solve refuses; volume outside 1 mL to 20 "
         "L; column outside 0 to 0.6 m",
         "flow model (#flow-model)"},
    Note{"flow.network",
         "one pressure where the branches join; Σ branch flows = flow of the catheter; a back-check valve "
         "lets nothing return",
         "pressures in mmHg, heights in m, flows in mL/h",
         "what flow.solve refuses; pump rate outside 0.1 mL/h to 60 L/h; "
         "alarm pressure outside 10 to 1\u202f500 mmHg; no branch, or more than four",
         "flow model (#flow-model)"},
    Note{"flow.open_line",
         "ln Q ± 1.645 √(Σ (∂ln Q/∂x)² + rig²); a count moves what is believed of x by C J / (e² + J C J)",
         "flows in mL/min, heights in cm, pressures in mmHg; x in standard deviations",
         "what flow.solve refuses; an unknown catheter without a declared flow and length; declared flow outside 2 to "
         "500 mL/min; a set outside 20 mL/min to 2 L/min; a count at a height from which nothing can run; more than "
         "eight counts",
         "flow model, band and counts (#flow-model)"},
    Note{"flow.reach", "flow.solve, inverted for height, cuff pressure, clamp or catheter",
         "wanted flow in mL/h; height in m, cuff in mmHg, clamp in mmHg per L/h",
         "what flow.solve refuses; wanted flow outside 0.1 mL/h to 60 L/h", "flow model (#flow-model)"},
    Note{
        "flow.solve",
        "ρ g h + P = Σ R Q + K(Q) + P_v: set by its open flow, laminar tubes, a clamp that follows the viscosity, "
        "developing flow and kinetic loss in the catheter, turbulent from Reynolds 4\u202f000",
        "h bag height in m, P cuff and P_v venous pressure in mmHg, R resistance, Q flow in mL/h",
        "bores outside 0.1 to 10 mm; lengths outside 1 mm to 10 m; height outside −1 to 3 m; cuff outside 0 to 600 "
        "mmHg; "
        "venous pressure outside −10 to 100 mmHg; viscosity outside 0.3 to 50 mPa·s; density outside 900 to 1\u202f500 "
        "kg/m³",
        "flow model and its error against 58 published rows (#flow-model)"},
    Note{"growth.weight",
         "z = ((weight / M)^L − 1) / (L × S), in even steps beyond 3; asked about outside ±3, with a stop below −6 or "
         "above +5; a child who may have been born early is only asked about",
         "weight in kg; birth date and today; an unknown sex is asked by both curves",
         "a birth date to come; weight outside 0.3 to 400 kg", "growth charts (#growth)"},
    Note{"hydration.balance", "balance = Σ in − Σ out; ice counts half; gain = balance in L / weight in kg",
         "volumes in mL, weight in kg, urine in mL/kg/h",
         "an end before the start or more than 14 d after it; volumes "
         "outside 0 to 20 L; weight outside 0.3 to 400 kg",
         "balance (#balance)"},
    Note{"hydration.body_size",
         "surface √(cm × kg / 3600); ideal 50 or 45.5 + 2.3 (inches − 60); adjusted = ideal + 0.4 (actual − ideal); "
         "water "
         "by Watson",
         "height in cm, weight in kg, surface in m², water in L",
         "height outside 30 to 250 cm; weight outside 0.3 to 400 "
         "kg; age outside 0 to 125 years",
         "body size (#body-size)"},
    Note{"hydration.deficit", "missing = share × weight; replacement = (missing − given) / time",
         "share of the body weight, weight in kg, volumes in mL, rate in mL/h",
         "weight outside 0.3 to 400 kg; share 0 or "
         "above 20 %; both or neither of share and signs; a sign the table lacks; time outside 1 to 96 h",
         "deficit (#deficit)"},
    Note{"hydration.diarrhoea_plan", "some: 75 mL/kg by mouth in 4 h; severe: 30 mL/kg then 70 mL/kg by vein",
         "weight in kg, age in months, volumes in mL, rates in mL/h",
         "weight outside 2 to 60 kg; age outside 0 to 215 "
         "months",
         "deficit (#deficit)"},
    Note{"hydration.forecast",
         "Na(t) = (Na0 W0 + I) / W, and ((Na0 + 23.8) W0 + 1.03 I) / W − 23.8; a limit is crossed when either form "
         "crosses",
         "Na serum sodium in mmol/L, W body water in L, I ions gained in mmol, time in h",
         "sodium outside 90 to 200 mmol/L; weight outside 0.3 to 400 kg; horizon outside 1 to 72 h; flows outside 0 to "
         "5 "
         "L/h; a plan that halves or doubles the body's water",
         "sodium and water (#sodium)"},
    Note{"hydration.kidney",
         "(140 − age) kg / (72 S) × 0.85 for women; 142 min(S/κ,1)^α max(S/κ,1)^−1.2 0.9938^age × 1.012 for women",
         "S creatinine in mg/dL; clearance in mL/min; filtration in mL/min per 1.73 m²",
         "age outside 18 to 125 years; weight outside 20 to 400 kg; creatinine outside 0.1 to 30 mg/dL, or both units",
         "kidneys (#kidney)"},
    Note{"hydration.maintenance",
         "child: 100/50/20 mL/kg a day or 4/2/1 mL/kg an hour by bands of 10 kg; adult: policy",
         "weight in kg, rate in mL/h", "weight outside 0.3 to 400 kg", "maintenance (#maintenance)"},
    Note{"hydration.osmolality", "1.86 (Na + K) + 1.15 glucose + urea + 14", "all in mmol/L; result in mOsm/L",
         "sodium outside 90 to 200, potassium 1 to 12, glucose 0.5 to 100, urea 0.3 to "
         "100 mmol/L; measured outside 200 to 500",
         "osmolality (#osmolality)"},
    Note{
        "hydration.sodium", "change = V (E − Na) / (TBW + V); free-water deficit TBW (Na/140 − 1), or TBW (1 − 140/Na)",
        "Na serum sodium and E infusate cations in mmol/L, TBW body water and V volume in L",
        "sodium outside 90 to 200 mmol/L; weight outside 0.3 to 400 kg; cations outside 0 to 1\u202f000 mmol/L; volume "
        "outside "
        "−10 to 20 L",
        "sodium and water (#sodium)"},
    Note{"infusate.line", "the worst route and the worst harm class of all mixtures", "mixtures, planned time",
         "no mixture; what infusate.suitability refuses, by its place",
         "policy infusate; compatibility is not decided"},
    Note{"infusate.list",
         "the entry meant by a name or synonym; else the names with the fewest letters changed, dropped, added or "
         "swapped",
         "name, or nothing for the whole list", "names outside the list are answered with the nearest, not refused",
         "each entry's own source and mark"},
    Note{
        "infusate.mix",
        "Σ (volume × osmolarity) / Σ volume; the same for sodium, potassium and glucose, with the least that the known "
        "parts give; the harm class follows the strength in the whole",
        "volumes in mL, osmolarity in mOsm/L, ions in mmol/L, glucose in g/L", "volumes 0 or above 10 L",
        "osmolarity (#osmolarity)"},
    Note{"infusate.suitability",
         "osmolarity too high or too low, concentrates, harm class, pH, route and length of therapy against policy, "
         "each a "
         "look; the worst decides",
         "osmolarity in mOsm/L, therapy and one run in time", "what infusate.mix refuses; therapy 0 or above 365 d",
         "policy infusate, each limit with its own source"},
    Note{"line.age", "whole years, months or days by the calendar; bands of the trade", "dates", "a birth date to come",
         "common practice, no source"},
    Note{"line.check_event", "each kind of event has its own checks; an empty list when nothing is wrong", "one event",
         "an event that cannot be read", "common practice, no source"},
    Note{"line.failed_sites", "site of each removed line of the patient whose reason for removal was a failure",
         "states of lines; the patient's record number", "a state that is no state of a line",
         "common practice, no source"},
    Note{"line.fold", "events in order of what they correct and when they happened give one state",
         "events of one line", "events of several lines; an event that cannot be read", "common practice, no source"},
    Note{"line.make_id", "UUID version 7: 48 bits of time, then random bits", "a moment, random hexadecimal digits",
         "too few digits", "RFC 9562"},
    Note{"line.running", "given = rate × time since it was hung; left = volume − given", "mL, mL/h, time",
         "a bag that is no bag", "infusion arithmetic (#infusion-arithmetic)"},
    Note{"policy.compare", "each figure, word or list in which two policies differ, by path",
         "paths as in the policy file", "a policy with faults, all of them at once", "the policy's own sources"},
    Note{"policy.effect", "what falls due on each open line by the policy in force and by the other, where they differ",
         "states of lines, a moment", "a policy with faults, all of them at once", "the policy's own sources"},
    Note{"practice.case", "the steps of a skill for a patient of ours", "number of the case, from 0",
         "a number that names no case; a skill that the case is not for; no antiseptic that suits the patient",
         "the steps' own sources"},
    Note{"practice.cases", "a number and its skills for each case", "nothing", "nothing", "cases of our own making"},
    Note{"practice.score",
         "out of order = ticks − longest rising run; share = in order / asked for; passed when no must-step failed and "
         "share ≥ the policy's",
         "ticks in the order in which they were seen; clocks in s",
         "steps that are not of this procedure, ticked twice or back in time; a must-step called not needed; nobody's "
         "name; a learner who observes themself",
         "longest increasing subsequence: Fredman 1975 (value from memory); share and must-steps: the policy"},
    Note{"procedure.check_catheter", "short by more than the policy's tolerance, or a tip that is not whole: alarm",
         "lengths in mm", "lengths that cannot be read", "policy remove.length_tolerance"},
    Note{"procedure.checking", "the steps in order; more is asked while something harmful may run",
         "patient; harm class of what runs; whether it runs", "names outside the lists", "common practice, no source"},
    Note{"procedure.failed_attempt", "the card that fits the outcome, and the step at which the next attempt begins",
         "how the attempt ended", "names outside the lists", "the policy's response cards"},
    Note{"procedure.flush_volume", "V = hub + π/4 d² L + Σ add-ons; flush = max(2 V, the ward's flush)",
         "d widest bore of the gauge, L length of the catheter, in mm; add-ons in mL, by pack or by name",
         "a declared volume outside 0.01 to 20 mL; a length outside 5 to 300 mm; more than 12 parts",
         "INS (value from memory): at least twice the internal volume of catheter and add-on devices; policy place"},
    Note{"procedure.placing", "the steps in order, with their clocks from policy", "times in s and min",
         "an antiseptic or a topical anaesthetic the policy does not know",
         "policy place, each figure with its own source"},
    Note{"procedure.receiving", "the steps in order; asepsis that is not known is taken as not assured", "times in h",
         "names outside the lists", "policy watch.emergency_dwell and watch.trace_after_move"},
    Note{"procedure.removing", "the steps in order; an unknown anticoagulant is pressed as one", "times in s and min",
         "a patient that cannot be read", "policy remove, each figure with its own source"},
    Note{"procedure.transfer", "the steps in order", "times in min", "nothing", "policy watch.trace_after_move"},
    Note{"procedure.using", "the steps in order; what may harm, or is not known, only after blood came back",
         "what is given and by which use; times in s and min; lengths in mm, volumes in mL",
         "an antiseptic the policy does not know; a push outside 5 s to 1 h or 0.1 to 100 mL; a birth date to come; "
         "and what procedure.flush_volume refuses",
         "policy place; catalogue of catheters and add-ons, each with its own source"},
    Note{"quantity.read", "number and unit to the usual unit", "text as a person writes it",
         "a missing unit; cc, the micro sign, a bare U; a unit of another kind", "display (#safe-display)"},
    Note{"site.assess", "each scale's criteria against the signs ticked; the highest grade met",
         "signs, pain 0 to 10, extents in cm", "pain outside 0 to 10; extent above 1 m; a measure without its sign",
         "the scale's own credit in policy scales"},
    Note{"site.trend",
         "course of each measure from the first to the last look of 24 h; speed of swelling = slope of the "
         "least-squares "
         "line × time; next limit reached at last look + (limit − swelling) / slope",
         "looks: grade, pain 0 to 10, swelling and cord in mm, time", "looks that are not oldest first",
         "least squares; the window and the steady band are common practice, no source"},
    Note{"statistics.chart",
         "share p ± 3 √(p (1 − p) / n), rate u ± 3 √(u / n), lines between g ± 3 √(g (g + 1)), time between by "
         "y^(1/3.6), "
         "or exact quantiles; widened by σz = mean |Δz| / 1.128; runs above round(log₂ n) + 3, crossings below the 5 % "
         "quantile of Binomial(n − 1, ½)",
         "events of lines or days, or figures in order of time; the baseline sets centre and limits",
         "fewer than 3 points; events above their lines; a time of 0; nothing to compare with", "charts (#charts)"},
    Note{"statistics.compare_shares",
         "difference by Newcombe's hybrid of Wilson intervals or Miettinen and Nurminen's score; ratio by their score",
         "events of lines, twice", "more events than lines; no line; confidence outside 0 to 1",
         "shares beside each other (#comparison)"},
    Note{"statistics.competing_risks",
         "F(t) = Σ S(t−) d / n of each cause, delta variance; time lost = ∫ F to the horizon",
         "d of n lines at risk ended by the cause at a time, S the survival of all causes", "as statistics.curves",
         "competing ends (#competing)"},
    Note{"statistics.cox",
         "log L = Σ x β − Σ log(s0 − f e0) over ends, f = l / d (Efron) or 0 (Breslow); by patient: H⁻¹ Σ L L' H⁻¹",
         "s0 sums exp(x β) over lines at risk, e0 over the d that end at once; times in whole minutes, a row at risk "
         "from "
         "start to stop; L sums a patient's score residuals",
         "lengths that differ; stop not after start; no end by the cause; columns that are constant, follow from "
         "others, "
         "or part the lines completely, by name",
         "proportional hazards (#cox)"},
    Note{"statistics.curves", "S(t) = Π (1 − d/n), H(t) = Σ d/n by group; mean = ∫ S to the horizon; log-rank u' V⁻ u",
         "n lines with start < t ≤ stop, d of them ended at t; weight S^early (1 − S)^late; times in whole minutes",
         "lengths that differ; stop not after start; rows of a line that overlap; more than 500 groups",
         "survival (#survival)"},
    Note{"statistics.fair_shares",
         "events ~ Binomial(of, p), p ~ Beta(μ s, (1 − μ) s), ρ = 1 / (s + 1); μ and ρ uniform and integrated over; "
         "likeliest a = μ s, b = (1 − μ) s beside it",
         "events of attempts by name; μ share of all, ρ how much people differ, 0 to 1; fewer than 10 attempts tell "
         "nobody apart",
         "fewer than two people, or more than 200; events below 0 or above the attempts; confidence outside 0.5 to "
         "0.999",
         "practice (#practice)"},
    Note{"statistics.fine_gray", "Cox's likelihood with weight G(t−) / G(T−) for a line that another cause ended at T",
         "G survival of the censoring; covariance counts what is not known of G",
         "as statistics.cox; lines that were in when watching began", "competing ends (#competing)"},
    Note{
        "statistics.frailty",
        "hazard × u of the patient, u gamma of mean 1, variance θ; log L(θ) = partial(β, ω) + Σ [ν (1 + ω − u) + d − "
        "ν ln(1 + d/ν) + Σ ln((ν + j) / (ν + d))] at its top",
        "ν = 1/θ; u = e^ω = (ν + d) / (ν + e), d ends and e expected ends of a patient; j from 0 to d − 1; errors as "
        "if θ were known",
        "as statistics.cox; no patients, or one; more than 20\u202f000 rows; θ outside 0.0001 to 20; no likeliest θ up "
        "to 20",
        "patients who differ (#frailty)"},
    Note{"statistics.funnel",
         "quantiles 0.001, 0.025, 0.975, 0.999 of the target's binomial or Poisson, between counts; z = (y − θ) / √(s² "
         "+ τ²), "
         "τ² = (I φ − (I − 1)) / (Σw − Σw² / Σw)",
         "events of lines, days or expected events by unit; θ target; φ dispersion with the outer tenths brought in",
         "fewer than two units; events above their lines; a target that is none", "charts (#charts)"},
    Note{"statistics.gray", "U = Σ (1 − F)^early (d_k − d R_k / R), R = Y (1 − F) / S by group",
         "Y at risk, F incidence of the cause, S survival of all causes",
         "fewer than two groups, or more than 60; lines that were in when watching began",
         "competing ends (#competing)"},
    Note{"statistics.indicators",
         "each figure a count of so many: shares by Wilson's interval, rates per 1\u202f000 line-days by the exact "
         "Poisson interval, the time until half have ended by Kaplan and Meier",
         "the rows that statistics.learn counts; lines behind each figure, and lines of which it is not recorded",
         "as statistics.learn", "the ward's figures (#indicators)"},
    Note{"statistics.learn", "lines by group: dwell, failure, reasons, first-attempt success, each with its interval",
         "rows of closed and open lines", "ended before placed, dwell of 0 min or above 60 d, attempts below 1, by row",
         "survival (#survival)"},
    Note{
        "statistics.lifetimes",
        "ln T = x β + σ W, W of the smallest extreme value (exponential: σ = 1), normal or logistic; likeliest β and σ",
        "T minutes of dwell; ended lines by the density, others by the share beyond; time ratio e^β; hazard ratio "
        "e^(−β/σ)",
        "as statistics.cox; lines that were in when watching began; times that lie on the model exactly",
        "models of a known shape (#lifetime-models)"},
    Note{"statistics.log_rank", "χ² = Σ (O − E)² / V over event times", "O observed and E expected failures",
         "fewer than two groups, or more than 500; a time of 0 or less", "survival (#survival)"},
    Note{"statistics.plan_change",
         "n = [z √(2 p̄ q̄) + z' √(p₁q₁ + p₂q₂)]² / (p₁ − p₂)²; T = (z + z')² (λ₁ + λ₂) / (λ₁ − λ₂)²; failures 4 (z + "
         "z')² / "
         "ln² ratio; wards 1 + (z + z')² [v₁ + v₂ + k² (y₁² + y₂²)] / (y₁ − y₂)²",
         "figures now and as hoped for; z and z' of the chance of a wrong sign and of the power; k how much wards "
         "differ",
         "a figure that is none, or the same; wrong outside 0.0001 to 0.5; power outside 0.5 to 0.999",
         "planning a change (#change-plan)"},
    Note{
        "statistics.practice",
        "S = max(0, S ± step), sign at S ≥ limit; steps as ln[(1 − p0) / (1 − p1)] to ln(p1 / p0), whole; limit the "
        "lowest whose wrong signs within n attempts are at most the share borne, by an exact Markov chain",
        "p0 acceptable and p1 unacceptable share of failed attempts; learning rises with success, keeping with failure",
        "acceptable outside 0.005 to 0.9; unacceptable less than 0.02 above it; within outside 10 to 1\u202f000; a "
        "failed attempt that is none of theirs; more than 100\u202f000 attempts in all",
        "practice (#practice)"},
    Note{"statistics.rate", "rate = events / days × 1\u202f000, exact Poisson interval", "events, catheter-days",
         "negative events; no time; confidence outside 0 to 1", "survival (#survival)"},
    Note{"statistics.rate_ratio", "given the sum, the first count is binomial: Clopper–Pearson limits, or mid-p",
         "events and time watched, twice", "negative events; no time; confidence outside 0 to 1",
         "shares beside each other (#comparison)"},
    Note{"statistics.ratio_to_expected", "observed / expected, exact Poisson interval, or mid-p",
         "events seen; events expected", "negative events; nothing expected; confidence outside 0 to 1",
         "shares beside each other (#comparison)"},
    Note{"statistics.recurrent", "M(t) = Σ d / n; variance Σ over lines [Σ (events − d / n) / n]²",
         "d events at a time, n lines at risk; a line's rows by its number",
         "as statistics.curves; no line numbers; a line "
         "in two groups",
         "competing ends (#competing)"},
    Note{
        "statistics.segments",
        "y = b0 + b1 t + b2 after + b3 (t − change) after; counts: ln(expected / of), variance × max(1, Σ r² / (n − "
        "4)); with lags Newey and West's errors",
        "figures, or events of lines or days, in order of time and equally apart; t from 0; effect at the last point",
        "fewer than 3 points on a side; more than 10\u202f000; events at too few points; figures that lie on the model "
        "exactly; lags above a third of the points",
        "a change in a series (#segments)"},
    Note{"statistics.share", "Wilson's interval of events / all", "whole numbers",
         "more events than all; confidence outside "
         "0 to 1",
         "survival (#survival)"},
    Note{"statistics.stretches", "rate in a stretch = ends / Σ e^{xβ} time; β by Σ xβ − Σ ends ln Σ e^{xβ} time",
         "stretches from after a cut up to the next, minutes; time at risk of each line in each; rates of a line with "
         "each column at its mean",
         "as statistics.cox; cuts that do not rise, or more than 20; a stretch in which no line ended",
         "models of a known shape (#lifetime-models)"},
    Note{"statistics.survival", "S(t) = Π (1 − d/n); var S = S² Σ d / [n (n − d)]",
         "d failures and n lines at risk at each time", "an empty list; a time of 0 or less; confidence outside 0 to 1",
         "survival (#survival)"},
    Note{"supply.check", "element string or digital link; check digit, expiry with day 00 and the century rule",
         "text of the code, or fields as typed; today", "an identifier that is malformed, a check digit that is wrong",
         "GS1 General Specifications (#gs1)"},
    Note{"vessel.angle", "sin(angle) = depth / (length (1 − share) − outside)", "lengths in mm, angle in degrees",
         "share outside 0 to 100 %; length outside 5 to 300 mm; depth outside 0 to 60 mm; outside part 0 to 30 mm",
         "share in the vein (#share-in-vein)"},
    Note{"vessel.dilution", "(Qi Oi + Qb Ob) / (Qi + Qb)",
         "Qi infusion and Qb blood flow in mL/h, O osmolarities in mOsm/L",
         "infusion outside 0.1 mL/h to 60 L/h; blood outside 0 to 60 L/h; ratio outside 0 to 100 %",
         "mass balance; flow past the catheter (#annular-flow)"},
    Note{"vessel.fit",
         "ratio = outer / vein; passing 1 − k⁴ − (1 − k²)² / ln(1/k); share (L − d / sin α − outside) / L",
         "k ratio, L length and d depth in mm, α angle in degrees",
         "diameters outside 0.2 to 30 mm; length outside 5 to 300 mm; depth outside 0 to 60 mm; angle outside 1 to 90 "
         "degrees",
         "ratio (#vein-ratio), annulus (#annular-flow), share (#share-in-vein)"},
    Note{"vessel.tip", "room = vein / sin(angle); spare = room − lead", "lengths in mm, angle in degrees",
         "vein outside 0.2 to 30 mm; lead outside 0.1 to 15 mm; angles outside 1 to 90 degrees, the second not above "
         "the "
         "first",
         "geometry; how far to go on (#tip)"},
};

}  // namespace

std::span<const Note> notes() { return all; }

const Note* find_note(std::string_view name) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Note& note) { return note.name == name; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace dwell::engine
