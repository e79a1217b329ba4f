// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "desk/capture.h"
#include "desk/changes.h"
#include "desk/exchange.h"
#include "desk/found.h"
#include "desk/run.h"
#include "desk/shelf.h"
#include "desk/still.h"
#include "ohmglow/compare/compare.h"
#include "ohmglow/locate.h"
#include "ohmglow/sheet/sheet.h"

namespace ohmglow::desk {

struct DeskOptions {
  /// A case file, the folder of one case, or a folder of such folders.
  std::filesystem::path place;
  SurveyChoice choice;  ///< What in a folder is no input.
  LocateOptions locate;
  /// Writes a result folder, as the command does.
  /// @throws OutputError
  std::function<void(const std::filesystem::path& folder, const Case&, const LocateResult&)> keep;
  ShelfWork shelf_work;
  std::filesystem::path shop_file;  ///< This user's shop; need not be there.
  /// @throws InputError
  std::function<Shop(const std::filesystem::path& file)> read_shop;
  std::function<void()> end;  ///< Closes the desk; called once the page has asked.
};

/// What the page asks, answered. Knows nothing of HTTP; may be asked from several threads.
class Desk {
 public:
  /// @throws InputError  where there is no such place.
  explicit Desk(DeskOptions options);

  /// @throws Error, nlohmann::json::exception: the caller tells the page.
  [[nodiscard]] Reply Answer(const Ask& ask);
  /// Opens the case before it is asked for: the browser takes a while to come.
  void LookAhead();

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
  [[nodiscard]] Reply SendPhoto(const Ask& ask);
  [[nodiscard]] Reply End(const Ask& ask);
  // Of many cases.
  [[nodiscard]] Reply ChooseCase(const Ask& ask);
  [[nodiscard]] Reply StartContactSheet(const Ask& ask);
  [[nodiscard]] Reply SendContactSheet(const Ask& ask);
  [[nodiscard]] Reply SendThumbnail(const Ask& ask);
  /// @throws OptionError
  [[nodiscard]] const std::filesystem::path& OnShelf(std::size_t number) const;
  [[nodiscard]] nlohmann::json ToShelf(const std::filesystem::path& open) const;
  // What was filmed.
  [[nodiscard]] Reply SendTables(const Ask& ask);
  [[nodiscard]] Reply SendStill(const Ask& ask);
  [[nodiscard]] Reply SendCourse(const Ask& ask);
  [[nodiscard]] Reply SendSnap(const Ask& ask);
  [[nodiscard]] Reply Propose(const Ask& ask);
  [[nodiscard]] Reply SaveLandmarks(const Ask& ask);
  [[nodiscard]] Reply SaveContacts(const Ask& ask);
  [[nodiscard]] Reply SaveSetting(const Ask& ask);
  [[nodiscard]] Reply SaveLevels(const Ask& ask);
  [[nodiscard]] Reply SavePart(const Ask& ask);
  [[nodiscard]] Reply SaveRegion(const Ask& ask);
  [[nodiscard]] Reply Undo(const Ask& ask);
  // The answer.
  [[nodiscard]] Reply StartRun(const Ask& ask);
  [[nodiscard]] Reply StopRun(const Ask& ask);
  [[nodiscard]] Reply SendResult(const Ask& ask);
  [[nodiscard]] Reply SendMap(const Ask& ask);
  [[nodiscard]] Reply SendParts(const Ask& ask);
  [[nodiscard]] Reply SendCurve(const Ask& ask);
  [[nodiscard]] Reply SendFilm(const Ask& ask);
  [[nodiscard]] Reply SendFilmPicture(const Ask& ask);
  [[nodiscard]] Reply SendColours(const Ask& ask);
  [[nodiscard]] Reply KeepResult(const Ask& ask);
  [[nodiscard]] Reply StartWhatIf(const Ask& ask);
  [[nodiscard]] Reply StartCompare(const Ask& ask);
  [[nodiscard]] Reply SendCompared(const Ask& ask);
  [[nodiscard]] Reply SendComparedMap(const Ask& ask);
  [[nodiscard]] Reply SendSheet(const Ask& ask);  ///< The customer's page.
  [[nodiscard]] Reply SendShop(const Ask& ask);
  [[nodiscard]] Reply SaveShop(const Ask& ask);
  [[nodiscard]] Shop OwnShop() const;

  /// The case as the disk has it now.
  [[nodiscard]] std::shared_ptr<const Capture> Opened();
  [[nodiscard]] std::shared_ptr<const Found> NeedFound() const;
  /// That, or with ?second the one that something was left out for.
  [[nodiscard]] std::shared_ptr<const Found> Asked(const Ask& ask) const;
  /// One computation at a time: each takes all cores.
  [[nodiscard]] bool Busy() const;
  /// The same with what it was read from, of one moment.
  struct Look {
    std::shared_ptr<const Capture> capture;
    std::string frames_stamp;
  };
  [[nodiscard]] Look LookAt();
  [[nodiscard]] Place At();
  /// Writes files of the case and remembers what they held; the case is then read anew.
  /// @throws ChangedMeanwhile, OutputError
  void Change(std::vector<Edit> edits);
  /// @param with  the table's text with other rows.
  [[nodiscard]] Reply SaveTable(
      const Ask& ask,
      const std::string& key,
      const std::string& fallback,
      const std::function<std::string(
          const std::string& text, const nlohmann::json& rows, const Capture& capture)>& with);

  DeskOptions options_;
  std::filesystem::path root_;
  std::vector<std::filesystem::path> shelf_;  ///< Case folders, where there are several.
  Run<Found> run_;
  Run<Found> second_;  ///< With something left out.
  Run<CompareResult> compared_;
  Run<bool> sheets_;  ///< The contact sheet of the shelf.
  Stills stills_;
  std::mutex saving_;  ///< One change or beginning after the other; before mutex_.
  Changes changes_;

  std::mutex mutex_;  // Of what follows.
  Place place_;
  std::shared_ptr<const Capture> capture_;
};

}  // namespace ohmglow::desk
