-- A sitting in Neovim: a day is opened, typed in, asked about, formatted; its machine gets another name. Each step says what the
-- result must be, and the editor leaves with an error where it is not.
--
-- The server is set up by the lines of the project's README, for the Neovim that runs this.

local function check(what, is_so, found)
  if not is_so then
    io.stderr:write(what .. ": " .. vim.inspect(found) .. "\n")
    vim.cmd("cquit 1")
  end
end

local function wait(what, is_so)
  check(what, vim.wait(30000, is_so, 20), vim.diagnostic.get())
end

-- The README's lines, between its heading for this version and the next.
local function set_up()
  local lines, is_ours = {}, false
  local heading = vim.lsp.config and "^Neovim 0.11" or "^Before 0.11"
  for line in io.lines(vim.env.README) do
    if line:match(heading) then
      is_ours = true
    elseif is_ours and line:match("^%S") then
      break
    elseif is_ours then
      table.insert(lines, (line:gsub("^    ", "")))
    end
  end
  check("the README has no lines for this Neovim", #lines > 2, lines)
  assert(loadstring(table.concat(lines, "\n")))()
end

local function client()
  local clients = (vim.lsp.get_clients or vim.lsp.get_active_clients)()
  return clients[1]
end

local function ask(method, params)
  local answers = vim.lsp.buf_request_sync(0, method, params, 30000) or {}
  for _, answer in pairs(answers) do
    check(method, answer.error == nil, answer)
    return answer.result
  end
  check(method, false, answers)
end

-- Puts the cursor on the first letter of some words, and returns the place in the protocol's form.
local function at(words, plus)
  vim.fn.cursor(1, 1)
  check(words .. " is not there", vim.fn.search("\\V" .. words, "cW") > 0, words)
  local place = vim.api.nvim_win_get_cursor(0)
  vim.api.nvim_win_set_cursor(0, { place[1], place[2] + (plus or 0) })
  return vim.lsp.util.make_position_params(0, "utf-16")
end

local function text()
  return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, true), "\n")
end

local function found()
  local all = vim.tbl_map(function(it) return it.code or it.message end, vim.diagnostic.get(0))
  table.sort(all)
  return table.concat(all, " ")
end

local function sitting()
  vim.cmd("filetype on")
  vim.o.swapfile = false
  set_up()
  vim.cmd("edit days/2026-04-11.md")
  wait("no server", function() return client() ~= nil and (client().initialized ~= false) end)
  wait("the day is not opened", function() return vim.lsp.buf_is_attached(0, client().id) end)

  -- Typed in: letters of two and four bytes before the place that is wrong.
  vim.fn.cursor(1, 1)
  vim.fn.search("It came out", "cW")
  local line = vim.api.nvim_win_get_cursor(0)[1]
  local typed = "It came out at 9 °C ± é 🏍 `@sag.rear.ridre`."
  vim.api.nvim_buf_set_lines(0, line - 1, line, true, { typed })
  wait("the slip is not found", function() return found() ~= "" end)
  local slip = vim.diagnostic.get(0)[1]
  check("where the slip is", slip.lnum == line - 1 and typed:sub(slip.col + 1, slip.end_col) == "sag.rear.ridre", slip)

  -- Mended within the line, behind those letters: the editor gives the place in UTF-16.
  local start = typed:find("ridre", 1, true) - 1
  vim.api.nvim_buf_set_text(0, line - 1, start, line - 1, start + 5, { "rider" })
  wait("the slip is still found", function() return found() == "" end)

  local hover = ask("textDocument/hover", at("sag.rear.rider", 3))
  check("hover", vim.inspect(hover):find("105", 1, true) ~= nil, hover)

  local key = ask("textDocument/hover", at("aboard", 2))
  check("hover on a key", vim.inspect(key):find("aboard", 1, true) ~= nil, key)

  local definition = ask("textDocument/definition", at("\"whin\"", 2))
  check("definition", vim.inspect(definition):find("machines/whin.md", 1, true) ~= nil, definition)

  -- A new block, whose key is being written.
  vim.api.nvim_buf_set_lines(0, -1, -1, true, { "", "```change", "fork.re", "```" })
  local last = vim.api.nvim_buf_line_count(0)
  vim.api.nvim_win_set_cursor(0, { last - 1, 7 })
  vim.api.nvim_win_set_cursor(0, { last - 1, 6 })
  local params = vim.lsp.util.make_position_params(0, "utf-16")
  params.position.character = 7
  local completion = ask("textDocument/completion", params)
  local items = vim.lsp.util.extract_completion_items and vim.lsp.util.extract_completion_items(completion)
    or completion.items or completion
  local labels = vim.tbl_map(function(item) return item.label end, items)
  check("completion", vim.tbl_contains(labels, "fork.rebound"), labels)
  vim.api.nvim_buf_set_lines(0, last - 2, last - 1, true, { "fork.rebound = \"2 clicks in\"", "because = \"to try it\"" })
  wait("the change is well", function() return found() == "" end)

  local hints = ask("textDocument/inlayHint", {
    textDocument = vim.lsp.util.make_text_document_params(0),
    range = { start = { line = 0, character = 0 }, ["end"] = { line = last, character = 0 } },
  })
  check("hints", vim.inspect(hints):find("105", 1, true) ~= nil, hints)

  -- A value that is wrong, and the edit that mends it.
  at("\"612 mm\"")
  local wrong = vim.api.nvim_win_get_cursor(0)[1]
  vim.api.nvim_buf_set_lines(0, wrong - 1, wrong, true, { "hangin  =   \"612 mm\"" })
  wait("the misspelt key is not found", function() return found() ~= "" end)
  local actions = ask("textDocument/codeAction", {
    textDocument = vim.lsp.util.make_text_document_params(0),
    range = { start = { line = wrong - 1, character = 0 }, ["end"] = { line = wrong - 1, character = 6 } },
    context = { diagnostics = {} },
  })
  check("quick fixes", actions[1] ~= nil and actions[1].edit ~= nil, actions)
  vim.lsp.util.apply_workspace_edit(actions[1].edit, "utf-16")
  wait("the fix mends it", function() return found() == "" and text():find("hanging  =", 1, true) ~= nil end)

  local edits = ask("textDocument/formatting", vim.lsp.util.make_formatting_params({}))
  vim.lsp.util.apply_text_edits(edits, vim.api.nvim_get_current_buf(), "utf-16")
  check("formatting", text():find("hanging = \"612 mm\"", 1, true) ~= nil, text())

  -- The machine gets another name: the file, and every mention.
  local at_name = at("\"whin\"", 2)
  local prepared = ask("textDocument/prepareRename", at_name)
  check("prepareRename", prepared ~= nil, prepared)
  at_name.newName = "gorse"
  local rename = ask("textDocument/rename", at_name)
  vim.lsp.util.apply_workspace_edit(rename, "utf-16")
  check("the file is not renamed", vim.fn.filereadable("machines/gorse.md") == 1, rename)
  check("the day has the old name", text():find("\"gorse\"", 1, true) ~= nil, text())
  vim.cmd("silent! wall")
  -- A book's findings are published after the answers to what came with the edit.
  for _ = 1, 2 do
    ask("textDocument/documentSymbol", { textDocument = vim.lsp.util.make_text_document_params(0) })
  end
  check("something is wrong after the rename", found() == "", vim.diagnostic.get())

  local symbols = ask("textDocument/documentSymbol", { textDocument = vim.lsp.util.make_text_document_params(0) })
  check("symbols", vim.inspect(symbols):find("sag rear", 1, true) ~= nil, symbols)

  client().stop()
  vim.wait(10000, function() return client() == nil end, 20)
end

local is_done, why = pcall(sitting)
check("the sitting", is_done, why)
io.stderr:write("done\n")
vim.cmd("qall!")
