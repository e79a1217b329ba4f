// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes the shells' completion files when the program is built:
//   ohmglow_write_completion BASH_FILE ZSH_FILE FISH_FILE
#include <fstream>
#include <iostream>
#include <vector>

#include "cli/completion.h"

int main(int argc, char** argv) {
  const std::vector<std::string> files(argv + 1, argv + argc);
  if (files.size() != 3) return 2;
  const auto commands = ohmglow::cli::Commands();
  const std::vector<std::string> texts{ohmglow::cli::BashCompletion(commands),
                                       ohmglow::cli::ZshCompletion(commands),
                                       ohmglow::cli::FishCompletion(commands)};
  for (std::size_t i = 0; i < files.size(); ++i) {
    std::ofstream file(files[i], std::ios::binary);
    file << texts[i];
    file.flush();
    if (!file) {
      std::cerr << files[i] << ": cannot be written\n";
      return 1;
    }
  }
  return 0;
}
