#include "server/measures.h"

#include <prometheus/counter.h>
#include <prometheus/gauge.h>
#include <prometheus/histogram.h>
#include <prometheus/registry.h>
#include <prometheus/text_serializer.h>

#include <algorithm>
#include <array>

namespace dwell::server {
namespace {

/// From a thousandth of a second, a look at what lies in memory, to ten, longer than anybody waits.
const prometheus::Histogram::BucketBoundaries seconds{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1,
                                                      0.25,  0.5,    1,     2.5,  5,     10};

/// A client says what it likes: as many methods as it can think of must not become as many numbers.
std::string named(std::string_view method) {
  constexpr std::array<std::string_view, 7> known{"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"};
  return std::find(known.begin(), known.end(), method) != known.end() ? std::string(method) : "other";
}

double unix_seconds(Instant at) { return std::chrono::duration<double>(at.time_since_epoch()).count(); }

}  // namespace

struct Measures::Families {
  prometheus::Registry registry;

  template <class Kind>
  prometheus::Family<Kind>& one(prometheus::detail::Builder<Kind> (&build)(), const char* name, const char* help) {
    return build().Name(name).Help(help).Register(registry);
  }

  prometheus::Family<prometheus::Counter>& requests =
      one(prometheus::BuildCounter, "dwell_requests_total", "Requests answered, by route and status");
  prometheus::Family<prometheus::Histogram>& took =
      one(prometheus::BuildHistogram, "dwell_request_seconds", "From the head of a request to its answer, by route");
  prometheus::Counter& turned_away =
      one(prometheus::BuildCounter, "dwell_connections_turned_away_total", "Told to come again: too many at once")
          .Add({});
  prometheus::Counter& wards_made =
      one(prometheus::BuildCounter, "dwell_ward_answers_made_total", "Answers about a ward that were made anew")
          .Add({});
  prometheus::Gauge& connections =
      one(prometheus::BuildGauge, "dwell_connections", "Connections that stand now").Add({});
  prometheus::Gauge& listeners =
      one(prometheus::BuildGauge, "dwell_listeners", "Pages that are told of changes as they come").Add({});
  prometheus::Gauge& reachable =
      one(prometheus::BuildGauge, "dwell_record_reachable", "1 when the last look reached the record").Add({});
  prometheus::Gauge& read_at =
      one(prometheus::BuildGauge, "dwell_record_read_timestamp_seconds", "When the record was last read to its end")
          .Add({});
  prometheus::Gauge& proof =
      one(prometheus::BuildGauge, "dwell_record_proof_holds", "0 when something speaks against the record").Add({});
  prometheus::Family<prometheus::Gauge>& certificate =
      one(prometheus::BuildGauge, "dwell_certificate_end_timestamp_seconds", "When the certificate ends");
};

Measures::Measures() : families_(std::make_unique<Families>()) { record({}); }
Measures::~Measures() = default;

void Measures::answered(std::string_view method, std::string_view pattern, unsigned status,
                        std::chrono::duration<double> took) {
  const std::string route(pattern);
  families_->requests.Add({{"method", named(method)}, {"route", route}, {"status", std::to_string(status)}})
      .Increment();
  families_->took.Add({{"route", route}}, seconds).Observe(took.count());
}

void Measures::turned_away() { families_->turned_away.Increment(); }
void Measures::made_ward() { families_->wards_made.Increment(); }
void Measures::connections(std::size_t now) { families_->connections.Set(static_cast<double>(now)); }
void Measures::listeners(std::size_t now) { families_->listeners.Set(static_cast<double>(now)); }

void Measures::record(const RecordMeasure& measure) {
  families_->reachable.Set(measure.reachable ? 1 : 0);
  families_->read_at.Set(unix_seconds(measure.read_at));
  families_->proof.Set(measure.proof_holds ? 1 : 0);
}

void Measures::certificate_ends(Instant end) { families_->certificate.Add({}).Set(unix_seconds(end)); }

std::string Measures::text() const { return prometheus::TextSerializer().Serialize(families_->registry.Collect()); }

}  // namespace dwell::server
