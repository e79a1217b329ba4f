// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "desk/capture.h"
#include "desk/exchange.h"
#include "desk/run.h"
#include "ohmglow/locate.h"

namespace ohmglow::desk {

struct DeskOptions {
  /// A case file, the folder of one case, or a folder of such folders.
  std::filesystem::path place;
  SurveyChoice choice;  ///< What in a folder is no input.
  LocateOptions locate;
  /// Writes a result folder, as the command does.
  /// @throws OutputError
  std::function<void(const std::filesystem::path& folder, const Case&, const LocateResult&)> keep;
  std::function<void()> end;  ///< Closes the desk; called once the page has asked.
};

/// What the page asks, answered. Knows nothing of HTTP; may be asked from several threads.
class Desk {
 public:
  /// @throws InputError  where there is no such place.
  explicit Desk(DeskOptions options);

  /// @throws Error, nlohmann::json::exception: the caller tells the page.
  [[nodiscard]] Reply Answer(const Ask& ask);

 private:
  using Handler = Reply (Desk::*)(const Ask&);
  struct Route {
    const char* method;
    const char* path;
    Handler handler;
  };
  [[nodiscard]] static const std::vector<Route>& Routes();

  // The case.
  [[nodiscard]] Reply TellState(const Ask& ask);
  [[nodiscard]] Reply ChooseCase(const Ask& ask);
  [[nodiscard]] Reply SendPhoto(const Ask& ask);
  [[nodiscard]] Reply End(const Ask& ask);
  // The answer.
  [[nodiscard]] Reply StartRun(const Ask& ask);
  [[nodiscard]] Reply StopRun(const Ask& ask);
  [[nodiscard]] Reply SendResult(const Ask& ask);
  [[nodiscard]] Reply SendMap(const Ask& ask);
  [[nodiscard]] Reply SendParts(const Ask& ask);
  [[nodiscard]] Reply SendCurve(const Ask& ask);
  [[nodiscard]] Reply SendColours(const Ask& ask);
  [[nodiscard]] Reply KeepResult(const Ask& ask);

  /// The case as the disk has it now.
  [[nodiscard]] std::shared_ptr<const Capture> Opened();
  [[nodiscard]] std::shared_ptr<const Found> NeedFound() const;

  DeskOptions options_;
  std::filesystem::path root_;
  std::vector<std::filesystem::path> shelf_;  ///< Case folders, where there are several.
  Run run_;

  std::mutex mutex_;  // Of what follows.
  Place place_;
  std::shared_ptr<const Capture> capture_;
  std::string stamp_;
  std::string photo_jpeg_;
  std::string photo_stamp_;
};

}  // namespace ohmglow::desk
