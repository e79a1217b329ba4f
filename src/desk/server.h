// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "desk/exchange.h"

namespace ohmglow::desk {

/// Answers what the gate has let in. Called from several threads at once; what it
/// throws becomes an answer that says so, and the desk goes on.
using Answer = std::function<Reply(const Ask&)>;

/// The desk's door: HTTP/1.1 on 127.0.0.1, nowhere else.
class Server {
 public:
  /// Takes the port, so that the address holds from here on.
  /// @param port  0: any free one.
  /// @throws OutputError  where the port is taken.
  Server(int port, std::string token);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  [[nodiscard]] int port() const;
  /// What the user opens; holds the token.
  [[nodiscard]] std::string Address() const;
  /// Answers until Stop().
  void Run(Answer answer);
  /// From any thread.
  void Stop();

 private:
  class Door;
  std::unique_ptr<Door> door_;
};

}  // namespace ohmglow::desk
