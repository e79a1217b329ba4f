// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/gate.h"

#include <algorithm>
#include <utility>

#include "desk/token.h"

namespace ohmglow::desk {
namespace {

std::optional<std::string> Refuse(Reply& refused, int status, const std::string& why) {
  refused = {status, "text/plain; charset=utf-8", why + "\n", {}};
  return std::nullopt;
}

}  // namespace

Gate::Gate(std::string token, int port)
    : token_(std::move(token)),
      hosts_{"127.0.0.1:" + std::to_string(port), "localhost:" + std::to_string(port)} {}

bool Gate::InTime(Bucket& bucket) {
  const std::lock_guard lock(mutex_);
  const auto now = std::chrono::steady_clock::now();
  const double passed_s = std::chrono::duration<double>(now - bucket.last).count();
  bucket.last = now;
  bucket.allowance = std::min(kMostPerSecond, bucket.allowance + passed_s * kMostPerSecond);
  if (bucket.allowance < 1) return false;
  bucket.allowance -= 1;
  return true;
}

std::optional<std::string> Gate::Enter(const Knock& knock, Reply& refused) {
  const std::string_view whole = knock.path;
  const std::size_t key_end = whole.find('/', 1);
  const bool has_key = !whole.empty() && key_end != std::string_view::npos &&
                       SameToken(whole.substr(1, key_end - 1), token_);
  if (!InTime(has_key ? known_ : strangers_)) {
    return Refuse(refused, 429, "too many requests; wait a second");
  }
  if (knock.coded) return Refuse(refused, 413, "send the body whole, its length told before");
  const bool known_host = std::any_of(std::begin(hosts_),
                                      std::end(hosts_),
                                      [&](const std::string& host) { return knock.host == host; });
  if (!known_host) return Refuse(refused, 403, "this address is not the desk's");
  const std::string own_origin = "http://" + knock.host;
  if (!knock.origin.empty() && knock.origin != own_origin) {
    return Refuse(refused, 403, "another site's request");
  }
  if (!has_key) return Refuse(refused, 403, "open the address that 'ohmglow desk' prints");
  if (knock.method == "POST") {
    // A form of another site can send neither this kind of text nor our origin.
    if (knock.origin != own_origin) return Refuse(refused, 403, "not from the desk's own page");
    if (!knock.content_type.starts_with("application/json")) {
      return Refuse(refused, 415, "send JSON");
    }
  } else if (knock.method != "GET") {
    return Refuse(refused, 405, "only GET and POST are understood");
  }
  return std::string(whole.substr(key_end + 1));
}

}  // namespace ohmglow::desk
