// Learn's models beside R's survival and cmprsk: the same rows, one core each, the whole call, in the same run. Prints
// both times, their ratio, how far the answers differ, and the ratio that is wanted; nothing fails on time.
//   statistics_bench [--large] [--task=NAME]    --large: the sizes of docs/performance.md, some minutes of R
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <random>
#include <string>

#include "statistics/competing.h"
#include "statistics/cox.h"
#include "statistics/fine_gray.h"

namespace {

using namespace dwell::statistics;

/// Dwell times of some three days, ends of two causes, ten plain facts, an age and a scale, two lines a patient; a
/// third of the lines in two pieces, whose first fact changes between.
struct Rows {
  Lifetimes whole, pieces;
  std::vector<int> group, patient;
  Covariates facts;
};

Rows invented(int count) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> even(0, 1);
  Rows out;
  out.facts.columns.assign(12, {});
  for (int j = 1; j <= 12; ++j) out.facts.names.push_back("x" + std::to_string(j));
  for (int i = 0; i < count; ++i) {
    double linear = 0;
    for (std::size_t j = 0; j < 12; ++j) {
      double x = even(random) < 0.3 ? 1 : 0;
      if (j == 10) x = std::floor(18 + 77 * even(random));
      if (j == 11) x = std::floor(10 * even(random));
      out.facts.columns[j].push_back(x);
      linear += (j % 2 == 0 ? 0.1 : -0.05) * (j == 10 ? x / 20 : j == 11 ? x / 5 : x);
    }
    const double minutes = 4300 * std::pow(-std::log(even(random)) * std::exp(-linear), 1 / 1.2);
    out.whole.stop.push_back(std::min(86'400, 1 + static_cast<int>(minutes)));
    const double end = even(random);
    out.whole.cause.push_back(end < 0.2 ? 0 : end < 0.55 ? 1 : 2);
    out.group.push_back(static_cast<int>(24 * even(random)));
    out.patient.push_back(static_cast<int>(0.5 * count * even(random)));
    // The same rows as start-stop: every one entered late, or at 0.
    out.pieces.start.push_back(i % 3 == 0 ? static_cast<int>(even(random) * out.whole.stop.back()) : 0);
  }
  out.pieces.stop = out.whole.stop;
  out.pieces.cause = out.whole.cause;
  return out;
}

std::vector<double> told(const std::vector<Coefficient>& coefficients) {
  std::vector<double> out;
  for (const auto& one : coefficients) out.push_back(one.coefficient);
  for (const auto& one : coefficients) out.push_back(one.standard_error);
  return out;
}

std::vector<double> told(const CoxFit& fit) {
  auto out = told(fit.coefficients);
  out.insert(out.end(), {fit.log_likelihood_without, fit.log_likelihood, fit.concordance.share});
  return out;
}

constexpr int three_days = 4320;

std::vector<double> at_three_days(const std::vector<SurvivalCurve>& curves) {
  std::vector<double> out;
  for (const auto& curve : curves) {
    out.push_back(1);
    for (const auto& point : curve.points)
      if (point.time <= three_days) out.back() = point.survival;
  }
  return out;
}

std::vector<double> at_three_days(const CompetingRisks& risks, bool errors) {
  std::vector<double> out, error;
  for (const auto& curve : risks.causes) {
    out.push_back(0);
    error.push_back(0);
    for (const auto& point : curve.points)
      if (point.time <= three_days) {
        out.back() = point.incidence;
        error.back() = point.standard_error;
      }
  }
  if (errors) out.insert(out.end(), error.begin(), error.end());
  return out;
}

CoxInput model(const Rows& rows, bool pieces, bool patients) {
  CoxInput in;
  in.rows = pieces ? rows.pieces : rows.whole;
  in.covariates = rows.facts;
  if (patients) in.patient = rows.patient;
  return in;
}

template <class Column>
void write(const std::filesystem::path& path, const Column& column) {
  std::ofstream(path, std::ios::binary)
      .write(reinterpret_cast<const char*>(column.data()),
             static_cast<std::streamsize>(column.size() * sizeof(column[0])));
}

struct Answer {
  double seconds = 0;
  std::vector<double> values;
};

Answer peer(const Rows& rows, const std::string& task, const std::filesystem::path& folder) {
  write(folder / "start", rows.pieces.start);
  write(folder / "stop", rows.whole.stop);
  write(folder / "cause", rows.whole.cause);
  write(folder / "group", rows.group);
  write(folder / "patient", rows.patient);
  for (std::size_t j = 0; j < rows.facts.columns.size(); ++j)
    write(folder / rows.facts.names[j], rows.facts.columns[j]);
  const std::string command =
      "Rscript --vanilla " DWELL_PEER " " + folder.string() + " " + task + " " + std::to_string(rows.group.size());
  Answer out;
  FILE* const pipe = popen(command.c_str(), "r");
  if (!pipe) return out;
  char word[16];
  double number = 0;
  while (std::fscanf(pipe, "%15s %lf", word, &number) == 2)
    std::string(word) == "seconds" ? void(out.seconds = number) : out.values.push_back(number);
  pclose(pipe);
  return out;
}

struct Task {
  std::string name;
  int rows, large_rows;
  double wanted;  ///< times as quick as R
  std::function<std::vector<double>(const Rows&, double& seconds)> run;
};

/// Times the call alone; what it is given stands ready, as R's vectors do.
template <class Call, class Tell>
auto timed(const Call& call, const Tell& tell) {
  return [=](const Rows& rows, double& seconds) {
    auto input = call(rows);
    const auto begin = std::chrono::steady_clock::now();
    const auto answer = input();
    seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    if (!answer) {
      std::cerr << answer.error().front().path << '\n';
      std::exit(1);
    }
    return tell(*answer);
  };
}

auto cox_task(bool pieces, bool patients) {
  return timed([=](const Rows& rows) { return [in = model(rows, pieces, patients)] { return cox(in); }; },
               [](const CoxFit& fit) { return told(fit); });
}

auto incidence_task(bool errors) {
  return timed([](const Rows& rows) { return [&rows] { return competing_risks(rows.whole, {}, {}); }; },
               [=](const std::vector<CompetingRisks>& risks) { return at_three_days(risks.front(), errors); });
}

std::vector<Task> tasks() {
  return {
      {"kaplan_meier", 20'000, 1'000'000, 40,
       timed([](const Rows& rows) { return [&rows] { return survival_curves(rows.whole, rows.group, {}); }; },
             [](const std::vector<SurvivalCurve>& curves) { return at_three_days(curves); })},
      {"aalen_johansen", 2'000, 100'000, 500, incidence_task(true)},
      {"aalen_johansen_plain", 20'000, 1'000'000, 80, incidence_task(false)},
      {"cox", 20'000, 1'000'000, 30, cox_task(false, false)},
      {"start_stop", 20'000, 1'000'000, 40, cox_task(true, false)},
      {"clustered", 5'000, 100'000, 500, cox_task(false, true)},
      {"fine_gray", 1'000, 30'000, 1'000,
       timed(
           [](const Rows& rows) {
             FineGrayInput in;
             in.rows = rows.whole;
             in.covariates = {{"x1", "x2", "x3", "x4"}, {rows.facts.columns.begin(), rows.facts.columns.begin() + 4}};
             return [in] { return fine_gray(in); };
           },
           [](const FineGrayFit& fit) { return told(fit.coefficients); })},
  };
}

double difference(const std::vector<double>& ours, const std::vector<double>& theirs) {
  if (ours.size() != theirs.size()) return std::nan("");
  double largest = 0;
  for (std::size_t i = 0; i < ours.size(); ++i)
    largest = std::max(largest, std::abs(ours[i] - theirs[i]) / std::max(1e-300, std::abs(theirs[i])));
  return largest;
}

}  // namespace

int main(int argc, char** argv) {
  bool large = false;
  std::string only;
  for (int i = 1; i < argc; ++i) {
    const std::string argument = argv[i];
    if (argument == "--large") large = true;
    if (argument.rfind("--task=", 0) == 0) only = argument.substr(7);
  }
  if (std::system("Rscript --version >/dev/null 2>&1") != 0) {
    std::cout << "bench statistics: no R here, nothing to measure beside\n";
    return 0;
  }
  const auto folder = std::filesystem::temp_directory_path() / ("statistics_bench_" + std::to_string(getpid()));
  std::filesystem::create_directory(folder);
  for (const auto& task : tasks()) {
    if (!only.empty() && only != task.name) continue;
    const Rows rows = invented(large ? task.large_rows : task.rows);
    double seconds = 0;
    const auto ours = task.run(rows, seconds);
    const auto theirs = peer(rows, task.name, folder);
    std::printf(
        "bench %-22s %9zu rows %9.1f ms, R %10.0f ms, %7.0f times as quick (wanted at size: %.0f), differs by %.1e\n",
        task.name.c_str(), rows.group.size(), 1e3 * seconds, 1e3 * theirs.seconds, theirs.seconds / seconds,
        task.wanted, difference(ours, theirs.values));
    std::fflush(stdout);
  }
  std::filesystem::remove_all(folder);
}
