// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/server.h"

#include <httplib.h>
#include <sys/socket.h>

#include <atomic>
#include <chrono>
#include <nlohmann/json.hpp>
#include <thread>
#include <utility>

#include "desk/gate.h"
#include "desk/own_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

constexpr const char* kLoopback = "127.0.0.1";
// A browser opens up to six connections to one address.
constexpr std::size_t kThreads = 8;
constexpr int kPatienceS = 10;

// Nothing from elsewhere, no other page around or behind ours, nothing kept by the browser.
const httplib::Headers kGuards{
    {"Content-Security-Policy",
     "default-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Cache-Control", "no-store"}};

void Put(Reply reply, httplib::Response& response) {
  response.status = reply.status;
  for (auto& [name, value] : reply.headers) response.set_header(name.c_str(), value);
  response.set_content(std::move(reply.body), reply.type.c_str());
}

Reply Told(int status, const char* what) {
  return {status,
          "application/json",
          nlohmann::json{{"error", what}}.dump(
              -1, ' ', false, nlohmann::json::error_handler_t::replace),
          {}};
}

Reply Answered(const Answer& answer, const Ask& ask) {
  try {
    return answer(ask);
  } catch (const OptionError& error) {
    return Told(400, error.what());
  } catch (const ChangedMeanwhile& error) {
    return Told(409, error.what());
  } catch (const Error& error) {
    return Told(422, error.what());
  } catch (const nlohmann::json::exception&) {
    return Told(400, "the request is not understood");
  } catch (const std::exception& error) {
    return Told(500, error.what());
  }
}

Ask AskOf(const httplib::Request& request, std::string path) {
  Ask ask{request.method, std::move(path), {}, request.body};
  for (const auto& [name, value] : request.params) ask.query[name] = value;
  return ask;
}

}  // namespace

class Server::Door {
 public:
  Door(int port, std::string token) : token_(std::move(token)) {
    server_.new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
    server_.set_payload_max_length(kMostBodyBytes);
    server_.set_read_timeout(kPatienceS);
    server_.set_write_timeout(kPatienceS);
    server_.set_keep_alive_timeout(kPatienceS);
    server_.set_tcp_nodelay(true);
    // By default a second program could take the same port beside us.
    server_.set_socket_options([](socket_t socket) {
      const int yes = 1;
      setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    server_.set_default_headers(kGuards);
    port_ = port == 0 ? server_.bind_to_any_port(kLoopback)
                      : (server_.bind_to_port(kLoopback, port) ? port : -1);
    if (port_ <= 0) {
      throw OutputError("port " + std::to_string(port) +
                        " is taken or not allowed; give another with --port, or none");
    }
  }

  void Run(Answer answer) {
    Gate gate(token_, port_);
    server_.set_pre_routing_handler([&](const httplib::Request& request, httplib::Response& out) {
      Reply refused;
      if (gate.Enter(KnockOf(request), refused)) return httplib::Server::HandlerResponse::Unhandled;
      // What else stands in the request is not read.
      refused.headers.emplace_back("Connection", "close");
      Put(std::move(refused), out);
      return httplib::Server::HandlerResponse::Handled;
    });
    const auto handler = [&](const httplib::Request& request, httplib::Response& out) {
      // The gate has found the token in front.
      Put(Answered(answer, AskOf(request, request.path.substr(token_.size() + 2))), out);
    };
    server_.Get(".*", handler);
    server_.Post(".*", handler);
    // A stop that comes before the server listens would be lost on it: asked until it ends.
    std::atomic<bool> ended = false;
    std::thread stopper([&] {
      while (!ended) {
        if (stop_) server_.stop();
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
    });
    if (!stop_) server_.listen_after_bind();
    ended = true;
    stopper.join();
  }

  void Stop() { stop_ = true; }
  [[nodiscard]] int port() const { return port_; }
  [[nodiscard]] const std::string& token() const { return token_; }

 private:
  static Knock KnockOf(const httplib::Request& request) {
    return {request.method,
            request.path,
            request.get_header_value("Host"),
            request.get_header_value("Origin"),
            request.get_header_value("Content-Type"),
            request.has_header("Transfer-Encoding") || request.has_header("Content-Encoding")};
  }

  std::string token_;
  httplib::Server server_;
  std::atomic<bool> stop_ = false;
  int port_ = 0;
};

Server::Server(int port, std::string token)
    : door_(std::make_unique<Door>(port, std::move(token))) {}

Server::~Server() = default;

int Server::port() const { return door_->port(); }

std::string Server::Address() const {
  return "http://127.0.0.1:" + std::to_string(door_->port()) + "/" + door_->token() + "/";
}

void Server::Run(Answer answer) { door_->Run(std::move(answer)); }

void Server::Stop() { door_->Stop(); }

}  // namespace ohmglow::desk
