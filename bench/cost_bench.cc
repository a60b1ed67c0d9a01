// What one charting write, one first page and one start cost as a record grows: tables with the ratio to the smallest
// size and the slope, the exponent with which a cost grows (0: not at all; 1: with the size). The sizes take turns, so
// that a machine busy with something else slows all of them. Over real sockets, with an answer from the disk.
//
//   cost_bench [--benchmark_filter=-BM_large]    with the filter: without the largest sizes
#include <unistd.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "exchange/library.h"
#include "line/test_lines.h"
#include "server/server.h"

namespace dwell {
namespace {

namespace http = boost::beast::http;
using tcp = boost::asio::ip::tcp;
using std::chrono::hours;
using std::chrono::seconds;
using Clock = std::chrono::steady_clock;

Instant bench_now() { return test::start + hours{24 * 60}; }

double milliseconds_since(Clock::time_point begin) {
  return std::chrono::duration<double, std::milli>(Clock::now() - begin).count();
}

double median(std::vector<double> of) {
  const auto middle = of.begin() + static_cast<std::ptrdiff_t>(of.size() / 2);
  std::nth_element(of.begin(), middle, of.end());
  return *middle;
}

// ---- a table ----

struct Column {
  std::string name;
  std::vector<double> milliseconds;  ///< by size
};

/// By least squares over the logarithms of size and time.
double slope(const std::vector<unsigned>& sizes, const std::vector<double>& times) {
  double x = 0, y = 0, xx = 0, xy = 0;
  const auto n = static_cast<double>(sizes.size());
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    const double a = std::log(sizes[i]), b = std::log(times[i]);
    x += a, y += b, xx += a * a, xy += a * b;
  }
  return (n * xy - x * y) / (n * xx - x * x);
}

void print(const char* title, const std::vector<unsigned>& sizes, const std::vector<Column>& columns) {
  std::printf("bench %s\n", title);
  for (const auto& column : columns) {
    std::printf("bench   %-34s", column.name.c_str());
    for (std::size_t i = 0; i < sizes.size(); ++i)
      std::printf("  %u: %.2f ms (%.2f)", sizes[i], column.milliseconds[i],
                  column.milliseconds[i] / column.milliseconds[0]);
    std::printf("  slope %.2f\n", slope(sizes, column.milliseconds));
  }
  std::fflush(stdout);
}

// ---- a server to ask ----

class Client {
 public:
  explicit Client(unsigned short port) : stream_(io_), port_(port) {
    stream_.connect({boost::asio::ip::make_address("127.0.0.1"), port});
  }
  std::string ask(http::verb method, const std::string& target, std::string body = "") {
    http::request<http::string_body> request{method, target, 11};
    request.set(http::field::host, "127.0.0.1:" + std::to_string(port_));
    if (method == http::verb::post) request.set(http::field::content_type, "application/json");
    request.body() = std::move(body);
    request.prepare_payload();
    http::write(stream_, request);
    http::response_parser<http::string_body> parser;
    parser.body_limit(256 * 1024 * 1024);
    http::read(stream_, buffer_, parser);
    // A long line that is read for the first time holds up whoever asks meanwhile, and is said to; ask again.
    if (parser.get().result() == http::status::service_unavailable && ++refused_ < most_refused) {
      std::this_thread::sleep_for(std::chrono::milliseconds{100});
      return ask(method, target, request.body());
    }
    if (parser.get().result_int() >= 500) {
      std::fprintf(stderr, "%s: %s\n", target.c_str(), parser.get().body().substr(0, 300).c_str());
      std::abort();
    }
    return std::move(parser.get().body());
  }
  void get(const std::string& target) { ask(http::verb::get, target); }
  void post_events(const std::string& events) { ask(http::verb::post, "/api/events", events); }

 private:
  boost::asio::io_context io_;
  boost::beast::tcp_stream stream_;
  boost::beast::flat_buffer buffer_;
  unsigned short port_;
  static constexpr int most_refused = 100;
  int refused_ = 0;
};

/// A record of its own, filled before it is served.
class Hospital {
 public:
  Hospital() {
    static int made = 0;
    path_ = (std::filesystem::temp_directory_path() /
             ("dwell-bench-cost-" + std::to_string(getpid()) + "-" + std::to_string(++made) + ".sqlite"))
                .string();
    ledger_ = std::move(ledger::open_sqlite(path_).value());
  }
  Hospital(const Hospital&) = delete;
  Hospital& operator=(const Hospital&) = delete;
  ~Hospital() {
    stop();
    for (const char* suffix : {"", "-wal", "-shm"}) std::filesystem::remove(path_ + suffix);
  }

  line::Event event(unsigned line, Instant at, line::Body body) { return lines_.event(line, at, std::move(body)); }

  void add(line::Event event) {
    waiting_.push_back(std::move(event));
    constexpr std::size_t at_once = 5000;
    if (waiting_.size() >= at_once) keep();
  }
  void keep() {
    if (!ledger_->append(waiting_, bench_now())) std::abort();
    waiting_.clear();
  }

  void open(unsigned line, Instant at) {
    auto opened = test::opened();
    opened.place.unit = "Ward " + std::to_string(line / 40);
    opened.place.bed = std::to_string(line % 40);
    add(event(line, at, opened));
    add(event(line, at, test::placed()));
  }

  /// What a line goes through, over and over, one entry each 30 s.
  void go_on(unsigned line, unsigned entries) {
    for (unsigned i = 0; i < entries; ++i) add(next(line));
  }
  line::Event next(unsigned line) {
    const Instant at = test::start + hours{1} + seconds{30 * ++moments_};
    switch (moments_ % 6) {
      case 0: return event(line, at, test::infusion(60));
      case 1: return event(line, at, line::RateChanged{60.0 * millilitre / hour, "order"});
      case 2: return event(line, at, test::checked(0));
      case 3: return event(line, at, line::Noted{"slept well"});
      case 4: return event(line, at, line::InfusionEnded{});
      default: return event(line, at, test::flushed(false));
    }
  }

  void close(unsigned line, Instant at) {
    add(event(line, at, test::removed()));
    add(event(line, at, test::after_checked(0, true)));
  }

  /// How long it took until it could be asked.
  double serve() {
    const auto begin = Clock::now();
    server::Options options;
    options.ledger = ledger_;
    options.library = exchange::default_library();
    options.standard_policy = options.library.policy;
    options.clock = bench_now;
    options.time_zone = "Etc/UTC";
    server_ = std::move(server::Server::start(std::move(options)).value());
    const double took = milliseconds_since(begin);
    runner_ = std::thread([this] { server_->run(); });
    client_.emplace(server_->port());
    return took;
  }
  void stop() {
    if (!server_) return;
    client_.reset();
    server_->stop();
    runner_.join();
    server_.reset();
  }
  Client& client() { return *client_; }
  [[nodiscard]] unsigned short port() const { return server_->port(); }

  double write(unsigned line) {
    const std::string body = json::to_text(json::encode(std::vector{next(line)}));
    const auto begin = Clock::now();
    client().post_events(body);
    return milliseconds_since(begin);
  }
  double read(const std::string& target) {
    const auto begin = Clock::now();
    client().get(target);
    return milliseconds_since(begin);
  }

 private:
  std::string path_;
  std::shared_ptr<ledger::Ledger> ledger_;
  std::unique_ptr<server::Server> server_;
  std::thread runner_;
  std::optional<Client> client_;
  std::vector<line::Event> waiting_;
  test::Lines lines_;
  unsigned moments_ = 0;
};

/// The same measurements on hospitals that differ in one size.
void compare(const char* title, const std::vector<unsigned>& sizes,
             const std::function<void(Hospital&, unsigned)>& fill) {
  constexpr int writes = 60, starts = 3;
  std::vector<std::unique_ptr<Hospital>> hospitals;
  std::vector<std::vector<double>> write(sizes.size()), due(sizes.size()), ward(sizes.size()), start(sizes.size());
  for (const unsigned size : sizes) {
    auto& hospital = *hospitals.emplace_back(std::make_unique<Hospital>());
    hospital.open(0, test::start);
    fill(hospital, size);
    hospital.keep();
    hospital.serve();  // makes the cache of lines
    hospital.stop();
  }
  for (int i = 0; i < starts; ++i)
    for (std::size_t s = 0; s < sizes.size(); ++s) {
      hospitals[s]->stop();
      start[s].push_back(hospitals[s]->serve());
    }
  // The first look at a line reads it from the record; from then on it is in memory.
  for (auto& hospital : hospitals) {
    hospital->write(0);
    hospital->read("/api/due?first=50");
    hospital->read("/api/ward?unit=Ward%200");
  }
  for (int i = 0; i < writes; ++i)
    for (std::size_t s = 0; s < sizes.size(); ++s) {
      write[s].push_back(hospitals[s]->write(0));
      due[s].push_back(hospitals[s]->read("/api/due?first=50"));
      ward[s].push_back(hospitals[s]->read("/api/ward?unit=Ward%200"));
    }
  const auto column = [&](const char* name, const std::vector<std::vector<double>>& times) {
    Column out{name, {}};
    for (const auto& of_size : times) out.milliseconds.push_back(median(of_size));
    return out;
  };
  print(title, sizes,
        {column("a charting write", write), column("the first fifty, that entry in", due),
         column("the page of one ward", ward), column("a start", start)});
}

/// Entries that are there already with another content, all in one batch.
void conflicts(const std::vector<unsigned>& sizes) {
  Column column{"the answer", {}};
  for (const unsigned size : sizes) {
    Hospital hospital;
    hospital.open(0, test::start);
    std::vector<line::Event> others;
    for (unsigned i = 0; i < size; ++i) {
      others.push_back(hospital.event(0, test::start + hours{1}, line::Noted{"a"}));
      hospital.add(others.back());
      others.back().body = line::Noted{"b"};
    }
    hospital.keep();
    hospital.serve();
    const std::string body = json::to_text(json::encode(others));
    std::vector<double> times;
    for (int i = 0; i < 3; ++i) {
      const auto begin = Clock::now();
      hospital.client().post_events(body);
      times.push_back(milliseconds_since(begin));
    }
    column.milliseconds.push_back(median(times));
  }
  print("conflicts in one batch", sizes, {column});
}

void connections(const std::vector<unsigned>& sizes) {
  constexpr int writes = 60;
  constexpr unsigned each = 4;
  struct Crowd {
    Hospital hospital;
    std::vector<std::unique_ptr<Client>> others;
    std::vector<double> times;
  };
  std::vector<std::unique_ptr<Crowd>> crowds;
  for (const unsigned size : sizes) {
    auto& crowd = *crowds.emplace_back(std::make_unique<Crowd>());
    crowd.hospital.open(0, test::start);
    crowd.hospital.keep();
    crowd.hospital.serve();
    while (crowd.others.size() + 1 < size) {
      crowd.others.push_back(std::make_unique<Client>(crowd.hospital.port()));
      crowd.others.back()->get("/api/about");
    }
  }
  for (int i = 0; i < writes; ++i)
    for (auto& crowd : crowds) crowd->times.push_back(crowd->hospital.write(0));
  Column beside{"a write beside others that wait", {}}, together{"a write of all, by their number", {}};
  for (auto& crowd : crowds) {
    beside.milliseconds.push_back(median(crowd->times));
    std::vector<std::string> bodies;
    const auto clients = crowd->others.size() + 1;
    while (bodies.size() < clients * each)
      bodies.push_back(json::to_text(json::encode(std::vector{crowd->hospital.next(0)})));
    const auto begin = Clock::now();
    {
      std::vector<std::jthread> threads;
      for (std::size_t i = 0; i < clients; ++i)
        threads.emplace_back([&, i] {
          Client& client = i == 0 ? crowd->hospital.client() : *crowd->others[i - 1];
          for (std::size_t turn = 0; turn < each; ++turn) client.post_events(bodies[i * each + turn]);
        });
    }
    together.milliseconds.push_back(milliseconds_since(begin) / static_cast<double>(bodies.size()));
  }
  print("connections", sizes, {beside, together});
}

}  // namespace
}  // namespace dwell

int main(int arguments, char** argument) {
  using namespace dwell;
  bool large = true;
  for (int i = 1; i < arguments; ++i) large = large && std::string(argument[i]) != "--benchmark_filter=-BM_large";
  const auto up_to = [&](std::vector<unsigned> sizes, std::size_t small) {
    if (!large) sizes.resize(small);
    return sizes;
  };
  compare("entries on one line", up_to({100, 1'000, 10'000, 100'000}, 2),
          [](Hospital& hospital, unsigned size) { hospital.go_on(0, size - 2); });
  compare("open lines", up_to({100, 1'000, 10'000, 100'000}, 2), [](Hospital& hospital, unsigned size) {
    for (unsigned line = 1; line < size; ++line) hospital.open(line, test::start + hours{24 * 59});
  });
  compare("closed lines", up_to({1'000, 10'000, 100'000}, 2), [](Hospital& hospital, unsigned size) {
    for (unsigned line = 1; line <= size; ++line) {
      hospital.open(line, test::start);
      hospital.close(line, test::start + hours{24});
    }
  });
  conflicts(up_to({100, 1'000, 3'000}, 2));
  connections(up_to({1, 20, 100, 400}, 2));
  return 0;
}
